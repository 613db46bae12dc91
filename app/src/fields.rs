//! Fields of the card: numbers with their unit, choices, names. While the pointer holds a field, all its changes are one step.

use crate::command::Command;
use crate::theme;
use egui::{ComboBox, DragValue, Grid, Response, RichText, TextEdit, Ui, vec2};
use hillwire_core::plan::{Edit, Gesture, UnitSystem};
use hillwire_core::units::{FOOT_M, Force, Length, POUND_FORCE_N};
use std::ops::RangeInclusive;

/// One pound in kilograms (international yard and pound agreement, 1959).
const POUND_KG: f64 = 0.453_592_37;

/// What is wrong with a text is broken into lines of this length, points.
const REFUSAL_WIDTH: f32 = 150.0;
/// Lists that open are no wider, in points: text in them is not broken.
const WIDEST_LIST: f32 = 340.0;

/// Whether the pointer holds a field whose changes belong together.
#[derive(Clone, Copy, Debug, Default)]
pub struct Grip {
    begun: bool,
    held: bool,
    ended: bool,
}

impl Grip {
    /// Notes what the pointer does to a field.
    pub fn watch(&mut self, response: &Response) {
        self.begun |= response.drag_started();
        self.held |= response.dragged();
        self.ended |= response.drag_stopped();
    }

    /// Asks for the change: as a step of its own, or as a part of the one that the held pointer has begun.
    pub fn ask(self, gesture: Gesture, edits: Option<Vec<Edit>>, commands: &mut Vec<Command>) {
        if self.begun {
            commands.push(Command::BeginChange(gesture.clone()));
        }
        match edits {
            Some(edits) if self.begun || self.held || self.ended => commands.push(Command::GoOn(edits)),
            Some(edits) => commands.push(Command::Change(gesture, edits)),
            None => {}
        }
        if self.ended {
            commands.push(Command::EndChange);
        }
    }
}

/// How a number is shown: in what unit, with how many decimals.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// SI units in one of it.
    si: f64,
    /// What is shown for an SI value of zero.
    zero: f64,
    suffix: &'static str,
    decimals: usize,
    /// How much a point of dragging changes, as shown.
    step: f64,
}

const fn unit(si: f64, suffix: &'static str, decimals: usize, step: f64) -> Unit {
    Unit { si, zero: 0.0, suffix, decimals, step }
}

impl Unit {
    /// Lengths along the ground.
    pub fn length(units: UnitSystem) -> Self {
        by(units, unit(1.0, " m", 2, 0.02), unit(FOOT_M, " ft", 1, 0.1))
    }
    /// Heights of strands, depths of posts: what is measured with a rule.
    pub fn height(units: UnitSystem) -> Self {
        by(units, unit(1.0, " m", 2, 0.005), unit(FOOT_M / 12.0, " in", 1, 0.25))
    }
    /// Thicknesses of rods and wires.
    pub fn thickness(units: UnitSystem) -> Self {
        by(units, unit(0.001, " mm", 1, 0.1), unit(FOOT_M / 12.0, " in", 3, 0.01))
    }
    /// Heights above the datum of the elevation grid.
    pub fn elevation(units: UnitSystem) -> Self {
        by(units, unit(1.0, " m", 2, 0.01), unit(FOOT_M, " ft", 2, 0.03))
    }
    /// Forces.
    pub fn force(units: UnitSystem) -> Self {
        by(units, unit(1.0, " N", 0, 5.0), unit(POUND_FORCE_N, " lbf", 0, 1.0))
    }
    /// Rates of springs, newtons per metre.
    pub fn spring(units: UnitSystem) -> Self {
        by(units, unit(1.0, " N/m", 0, 50.0), unit(POUND_FORCE_N * 12.0 / FOOT_M, " lbf/in", 1, 0.2))
    }
    /// Masses, kilograms.
    pub fn mass(units: UnitSystem) -> Self {
        by(units, unit(1.0, " kg", 1, 0.5), unit(POUND_KG, " lb", 0, 1.0))
    }
    /// Gains of mass, kilograms a day.
    pub fn gain(units: UnitSystem) -> Self {
        by(units, unit(1.0, " kg a day", 2, 0.01), unit(POUND_KG, " lb a day", 2, 0.02))
    }
    /// Whole numbers.
    pub const fn pieces() -> Self {
        unit(1.0, "", 0, 0.2)
    }
    /// Plain numbers.
    pub const fn plain() -> Self {
        unit(1.0, "", 1, 0.05)
    }
    /// Temperatures, degrees Celsius.
    pub fn temperature(units: UnitSystem) -> Self {
        by(units, unit(1.0, " °C", 0, 0.5), Self { zero: 32.0, ..unit(5.0 / 9.0, " °F", 0, 0.5) })
    }

    fn shown(&self, si: f64) -> f64 {
        si / self.si + self.zero
    }
    fn si(&self, shown: f64) -> f64 {
        (shown - self.zero) * self.si
    }
}

fn by(units: UnitSystem, metric: Unit, us: Unit) -> Unit {
    if units == UnitSystem::Us { us } else { metric }
}

/// The rows of a table of choices: what, and the field for it.
pub fn rows<R>(ui: &mut Ui, id: &str, rows: impl FnOnce(&mut Ui) -> R) -> R {
    Grid::new(id).num_columns(2).spacing([12.0, 4.0]).show(ui, rows).inner
}

/// One row: what it is called, what that means, and the fields.
pub fn row<R>(ui: &mut Ui, what: &str, tip: &str, fields: impl FnOnce(&mut Ui) -> R) -> R {
    ui.label(RichText::new(what).color(theme::inks(ui).faint_ink)).on_hover_text(tip);
    let made = ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        fields(ui)
    });
    ui.end_row();
    made.inner
}

/// Gives a field its name for whoever does not see where it stands.
pub fn named(response: &Response, name: &str) {
    response.ctx.accesskit_node_builder(response.id, |node| node.set_label(name));
}

/// A number to be dragged or typed over, in SI; the new one when it was changed.
pub fn number(ui: &mut Ui, grip: &mut Grip, name: &str, unit: Unit, value: f64, range: RangeInclusive<f64>) -> Option<f64> {
    let mut shown = unit.shown(value);
    let field = DragValue::new(&mut shown)
        .range(unit.shown(*range.start())..=unit.shown(*range.end()))
        .clamp_existing_to_range(false)
        .update_while_editing(false)
        .speed(unit.step)
        .suffix(unit.suffix)
        .max_decimals(unit.decimals);
    let response = ui.add(field);
    named(&response, name);
    grip.watch(&response);
    response.changed().then(|| unit.si(shown).clamp(*range.start(), *range.end()))
}

/// A length to be changed.
pub fn length(
    ui: &mut Ui,
    grip: &mut Grip,
    name: &str,
    unit: Unit,
    value: Length,
    metres: RangeInclusive<f64>,
) -> Option<Length> {
    number(ui, grip, name, unit, value.as_metres(), metres).map(Length::metres)
}

/// A force to be changed.
pub fn force(ui: &mut Ui, grip: &mut Grip, name: &str, unit: Unit, value: Force, newtons: RangeInclusive<f64>) -> Option<Force> {
    number(ui, grip, name, unit, value.as_newtons(), newtons).map(Force::newtons)
}

/// One of several, each with its id and what people call it; the id of another one when it was chosen.
pub fn choice<'a>(
    ui: &mut Ui,
    name: &str,
    width: f32,
    chosen: &str,
    rows: impl Iterator<Item = (&'a str, &'a str)> + Clone,
) -> Option<String> {
    let text = rows.clone().find(|(id, _)| *id == chosen).map_or(chosen, |(_, text)| text);
    choice_shown_as(ui, name, width, (chosen, RichText::new(text)), rows)
}

/// The same, with the chosen one written shorter than in the list.
pub fn choice_shown_as<'a>(
    ui: &mut Ui,
    name: &str,
    width: f32,
    (chosen, shown): (&str, RichText),
    rows: impl Iterator<Item = (&'a str, &'a str)> + Clone,
) -> Option<String> {
    let in_full = rows.clone().find(|(id, _)| *id == chosen).map_or(chosen, |(_, text)| text);
    let mut picked = None;
    let made = ui.scope(|ui| {
        ui.set_max_width(width);
        ComboBox::from_id_salt(name).width(width).height(320.0).truncate().selected_text(shown).show_ui(ui, |ui| {
            ui.set_max_width(WIDEST_LIST);
            for (id, text) in rows {
                let label = egui::Button::selectable(id == chosen, text).wrap_mode(egui::TextWrapMode::Extend);
                if ui.add(label).clicked() && id != chosen {
                    picked = Some(id.to_owned());
                }
            }
        })
    });
    named(&made.inner.response.on_hover_text(in_full), name);
    picked
}

/// A box to be ticked; whether it was changed.
pub fn tick(ui: &mut Ui, name: &str, ticked: &mut bool, tip: &str) -> bool {
    let made = ui.scope(|ui| {
        ui.spacing_mut().interact_size.x = 18.0;
        ui.add(egui::Checkbox::without_text(ticked))
    });
    named(&made.inner, name);
    made.inner.on_hover_text(tip).changed()
}

/// How a number that may be left out is shown: in what unit, what stands for it when it is left out, and between what it lies.
pub struct Figure<'a> {
    /// Its unit, behind the field.
    pub unit: &'a str,
    /// What stands in the empty field.
    pub hint: &'a str,
    /// From .. to.
    pub range: RangeInclusive<f64>,
}

/// Room for a figure of five characters, points.
const FIGURE_WIDTH: f32 = 58.0;

/// A number that may be left out, typed over; what it is now when it was changed.
pub fn figure(ui: &mut Ui, name: &str, value: Option<f64>, shown: &Figure<'_>) -> Option<Option<f64>> {
    let now = value.map_or_else(String::new, |value| value.to_string());
    let (low, high) = (shown.range.start(), shown.range.end());
    let refuse = |typed: &str| match figure_typed(typed) {
        Some(number) if number.is_none_or(|number| shown.range.contains(&number)) => None,
        _ => Some(format!("A number from {low} to {high}, or nothing.")),
    };
    let typed = text(ui, name, FIGURE_WIDTH, &now, shown.hint, refuse);
    ui.label(shown.unit);
    typed.and_then(|typed| figure_typed(&typed)).filter(|typed| *typed != value)
}

/// A typed number, with a point or a comma; `None` inside for nothing typed.
fn figure_typed(typed: &str) -> Option<Option<f64>> {
    if typed.is_empty() {
        return Some(None);
    }
    typed.replace(',', ".").parse::<f64>().ok().filter(|number| number.is_finite()).map(Some)
}

/// A small button that says with a word or a sign what it does; its name says it in full.
pub fn small_button(ui: &mut Ui, text: &str, name: &str, tip: &str) -> bool {
    let button = egui::Button::new(text).min_size(vec2(20.0, 20.0)).small();
    let response = ui.add(button).on_hover_text(tip);
    named(&response, name);
    response.clicked()
}

/// Text to be typed over, taken when the field is left; `refuse` says what is wrong with it: then it is not taken, and stands there with
/// what is wrong until it is mended or Esc gives it up.
pub fn text(
    ui: &mut Ui,
    name: &str,
    width: f32,
    now: &str,
    hint: &str,
    refuse: impl Fn(&str) -> Option<String>,
) -> Option<String> {
    let id = ui.scope_id().with(("text", name, now));
    let mut typed = ui.data_mut(|memory| memory.get_temp::<String>(id)).unwrap_or_else(|| now.to_owned());
    let made = ui.vertical(|ui| {
        // What is wrong is broken into lines under the field: the card must not grow wider while somebody types.
        ui.set_max_width(width.max(REFUSAL_WIDTH));
        let response = ui.add(TextEdit::singleline(&mut typed).hint_text(hint).desired_width(width));
        named(&response, name);
        let trouble = if typed.trim() == now { None } else { refuse(typed.trim()) };
        if let Some(trouble) = &trouble {
            let ink = theme::inks(ui).must_fix;
            ui.add(egui::Label::new(RichText::new(trouble).small().color(ink)).wrap());
        }
        (response, trouble)
    });
    let (response, trouble) = made.inner;
    let given_up = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Escape));
    if given_up || typed == now || response.lost_focus() && trouble.is_none() {
        ui.data_mut(|memory| memory.remove::<String>(id));
    } else {
        ui.data_mut(|memory| memory.insert_temp(id, typed.clone()));
    }
    let taken = typed.trim().to_owned();
    (response.lost_focus() && !given_up && trouble.is_none() && taken != now).then_some(taken)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_a_number_with_point_or_comma_or_nothing() {
        for (typed, expected) in [
            ("4.5", Some(Some(4.5))),
            ("4,5", Some(Some(4.5))),
            ("", Some(None)),
            ("four", None),
            ("1,000,000", None),
            ("inf", None),
        ] {
            assert_eq!(figure_typed(typed), expected, "{typed}");
        }
    }

    #[test]
    fn units_are_shown_and_read_back() {
        let us = UnitSystem::Us;
        for (unit, si, shown) in [
            (Unit::length(us), 0.3048, 1.0),
            (Unit::height(us), 0.508, 20.0),
            (Unit::thickness(us), 0.0254, 1.0),
            (Unit::force(us), 4.448_221_615_260_5, 1.0),
            (Unit::mass(us), 0.453_592_37, 1.0),
            (Unit::temperature(us), 100.0, 212.0),
            (Unit::temperature(us), -40.0, -40.0),
            // One pound-force per inch: 4.4482216 N / 0.0254 m.
            (Unit::spring(us), 175.126_835_246_476, 1.0),
            (Unit::temperature(UnitSystem::Metric), 15.0, 15.0),
        ] {
            assert!((unit.shown(si) - shown).abs() < 1e-9, "{unit:?} {si} {}", unit.shown(si));
            assert!((unit.si(shown) - si).abs() < 1e-9, "{unit:?} {shown} {}", unit.si(shown));
        }
    }
}
