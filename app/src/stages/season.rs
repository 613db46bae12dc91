//! What the ground is made of and what the year does to it: soil, rock, vegetation, temperatures, snow.

use crate::card::heading;
use crate::command::Command;
use crate::fields::{Figure, Grip, Unit, choice, figure, length, number, row, rows, tick};
use crate::session::{Session, Stage};
use crate::theme;
use crate::words;
use egui::{RichText, Ui};
use hillwire_core::catalogue::{Catalogue, Code};
use hillwire_core::plan::{Edit, Gesture, GroundChoice, Season, UnitSystem};
use hillwire_core::units::Length;

/// Where a field for the rock's depth begins, metres.
const ROCK_BEGINS_M: f64 = 0.6;
/// Where a field for the build-up begins, metres.
const BUILD_UP_BEGINS_M: f64 = 0.05;

/// The choices for the whole plan.
pub fn editor(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "Soil");
    let width = (ui.available_width() - 104.0).clamp(120.0, 240.0);
    ground(ui, session, width, |_, _| (), commands);
    let note = "Zones drawn on the map (wet ground, shallow rock) say otherwise where they lie.";
    ui.label(RichText::new(note).small().color(theme::inks(ui).faint_ink));
    ui.add_space(8.0);
    heading(ui, "Season");
    season(ui, session, commands);
    ui.add_space(8.0);
    heading(ui, "Local code");
    code(ui, session, width, commands);
}

/// Whose law and advice the fence is held against.
fn code(ui: &mut Ui, session: &Session, width: f32, commands: &mut Vec<Command>) {
    let now = Code::of(session.plan().head.code.as_deref());
    let all = Code::all();
    let picked = rows(ui, "code", |ui| {
        let tip = "Distances to power lines and to other fences, signs, crossings of ways: as the code of this country has them";
        row(ui, "country", tip, |ui| {
            choice(ui, "country", width, &now.id, all.iter().map(|code| (code.id.as_str(), code.label.as_str())))
        })
    });
    let note =
        "Values from standards and from memory, each named where it is used. Local law and licensed practice come before them.";
    ui.label(RichText::new(note).small().color(theme::inks(ui).faint_ink));
    if let Some(picked) = picked {
        let mut head = (*session.plan().head).clone();
        head.code = Some(picked).filter(|id| *id != all[0].id);
        commands.push(Command::Change(Gesture::ChangedCode, vec![Edit::SetHead(Box::new(head))]));
    }
}

/// The choices for the whole plan that the pulse asks about.
pub fn ground_of_pulse(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "Ground and growth");
    let width = (ui.available_width() - 104.0).clamp(120.0, 240.0);
    ground(ui, session, width, measured, commands);
}

/// One line that says what the fences are worked out for, and the way to change it.
pub fn summary(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let head = &session.plan().head;
    let soil = session.catalogue().soil(&head.ground.soil).map_or(head.ground.soil.as_str(), |row| &row.label);
    let season = &head.season;
    let temperature = |celsius| words::temperature(celsius, session.units());
    let text = format!(
        "Worked out for {} that is {}, from {} to {}.",
        soil.to_lowercase(),
        head.ground.state,
        temperature(season.coldest_c),
        temperature(season.hottest_c)
    );
    ui.label(text);
    if ui.button("Soil and season…").on_hover_text("Change soil, ground state, temperatures, snow: on the stage Land").clicked()
    {
        commands.push(Command::Stage(Stage::Land));
    }
}

fn ground(
    ui: &mut Ui,
    session: &Session,
    width: f32,
    further: impl FnOnce(&mut Ui, &mut GroundChoice),
    commands: &mut Vec<Command>,
) {
    let now = &session.plan().head.ground;
    let mut changed = now.clone();
    let mut grip = Grip::default();
    rows(ui, "ground-choice", |ui| {
        soil_rows(ui, &mut changed, (width, session.catalogue()));
        let tip = "Grass, bramble and branches on the wire: they lead the pulse away, the more the wetter they are";
        row(ui, "vegetation", tip, |ui| {
            if let Some(vegetation) = choice(ui, "vegetation", width, &changed.vegetation, words::VEGETATION.into_iter()) {
                changed.vegetation = vegetation;
            }
        });
        further(ui, &mut changed);
        let tip = "Tick it where rock lies within the reach of a post everywhere; for single places draw a zone of shallow rock";
        row(ui, "rock", tip, |ui| {
            let unit = Unit::height(session.units());
            optional_length(
                ui,
                &mut grip,
                ["rock under the soil", "depth of the rock"],
                unit,
                &mut changed.rock_depth,
                ROCK_BEGINS_M,
                tip,
            );
            if changed.rock_depth.is_none() {
                ui.label(RichText::new("out of reach").color(theme::inks(ui).faint_ink));
            }
        });
    });
    let edits = (changed != *now).then(|| {
        let mut head = (*session.plan().head).clone();
        head.ground = changed;
        vec![Edit::SetHead(Box::new(head))]
    });
    grip.ask(Gesture::ChangedGround, edits, commands);
}

/// What somebody measured of the ground in its state, in place of what soil and vegetation usually have.
fn measured(ui: &mut Ui, ground: &mut GroundChoice) {
    let tip = "Resistivity of the ground as it is now, where you measured it; empty: what the soil usually has in this state";
    row(ui, "resistivity", tip, |ui| {
        let shown = Figure { unit: "Ω·m", hint: "usual", range: 0.1..=1e6 };
        if let Some(typed) = figure(ui, "resistivity of the ground", ground.resistivity_ohm_m, &shown) {
            ground.resistivity_ohm_m = typed;
        }
    });
    let tip = "What a kilometre of a low live strand leaks as things are now, where you measured it; empty: what the vegetation usually leaks";
    row(ui, "leakage", tip, |ui| {
        let shown = Figure { unit: "µS/km", hint: "usual", range: 0.0..=1e5 };
        if let Some(typed) = figure(ui, "leakage of a strand", ground.leakage_us_per_km, &shown) {
            ground.leakage_us_per_km = typed;
        }
    });
}

fn soil_rows(ui: &mut Ui, ground: &mut GroundChoice, (width, catalogue): (f32, &Catalogue)) {
    let soils = catalogue.soils.iter().map(|row| (row.id.as_str(), row.label.as_str()));
    let tip = "What posts stand in, where no zone says otherwise: it decides what a corner post holds";
    row(ui, "soil", tip, |ui| {
        if let Some(soil) = choice(ui, "soil", width, &ground.soil, soils) {
            ground.soil = soil;
        }
    });
    let tip = "How wet the ground is at the time that counts: wet ground holds posts less, dry and frozen ground carries the pulse badly";
    row(ui, "ground state", tip, |ui| {
        if let Some(state) = choice(ui, "ground state", width, &ground.state, words::GROUND_STATES.into_iter()) {
            ground.state = state;
        }
    });
}

/// A length that may be left out: a box to be ticked, and the length once it is.
fn optional_length(
    ui: &mut Ui,
    grip: &mut Grip,
    [box_name, field_name]: [&str; 2],
    unit: Unit,
    value: &mut Option<Length>,
    begins_m: f64,
    tip: &str,
) {
    let mut has = value.is_some();
    if tick(ui, box_name, &mut has, tip) {
        *value = has.then_some(Length::metres(begins_m));
    }
    if let Some(now) = *value
        && let Some(typed) = length(ui, grip, field_name, unit, now, 0.0..=2.0)
    {
        *value = Some(typed);
    }
}

fn season(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let units = session.units();
    let now = &session.plan().head.season;
    let mut changed = now.clone();
    let mut grip = Grip::default();
    rows(ui, "season", |ui| {
        temperatures(ui, &mut grip, &mut changed, units);
        let tip = "How high rooted soil and leaves pile up along a line before somebody rakes: the lowest strand sinks into it. \
                   Unticked: what the stock behind the line usually does";
        row(ui, "build-up", tip, |ui| {
            let names = ["own value for the build-up", "height of the build-up"];
            optional_length(ui, &mut grip, names, Unit::height(units), &mut changed.build_up, BUILD_UP_BEGINS_M, tip);
            if changed.build_up.is_none() {
                ui.label(RichText::new("usual for the stock").color(theme::inks(ui).faint_ink));
            }
        });
        row(ui, "snow", "Snow that lies: low strands are buried in it, and animals stand higher", |ui| {
            if let Some(snow) = length(ui, &mut grip, "snow", Unit::height(units), changed.snow, 0.0..=3.0) {
                changed.snow = snow;
            }
        });
        storm(ui, &mut changed, units);
    });
    let edits = (changed != *now).then(|| {
        let mut head = (*session.plan().head).clone();
        head.season = changed;
        vec![Edit::SetHead(Box::new(head))]
    });
    grip.ask(Gesture::ChangedSeason, edits, commands);
}

/// Rain of the hardest hour, from which the water that crosses a line is reckoned.
fn storm(ui: &mut Ui, season: &mut Season, units: UnitSystem) {
    let tip = "Rain of the hardest hour in some ten years: the weather service tells it for your place. It says how much water crosses a line";
    row(ui, "hard storm", tip, |ui| {
        let (unit, mm) = if units == UnitSystem::Us { ("in/h", 25.4) } else { ("mm/h", 1.0) };
        let shown = Figure { unit, hint: "usual", range: 1.0 / mm..=1000.0 / mm };
        if let Some(typed) = figure(ui, "rain of a hard storm", season.storm_mm_per_h.map(|rain| rain / mm), &shown) {
            season.storm_mm_per_h = typed.map(|rain| rain * mm);
        }
    });
}

/// The day of tensioning lies between the coldest and the hottest day.
fn temperatures(ui: &mut Ui, grip: &mut Grip, season: &mut Season, units: UnitSystem) {
    let Season { set_c, coldest_c, hottest_c, .. } = *season;
    let tip = "Wire shortens in the cold: on the coldest day it pulls hardest on corners and ends";
    temperature(ui, grip, ["coldest day", tip], &mut season.coldest_c, (-60.0, set_c), units);
    let tip = "How warm it is when you tension the strands. Tensioned on a hot day, they are tight in winter";
    temperature(ui, grip, ["day of tensioning", tip], &mut season.set_c, (coldest_c.max(-40.0), hottest_c.min(60.0)), units);
    let tip = "The wire itself in the sun: it lengthens, and strands hang lowest";
    temperature(ui, grip, ["hottest wire", tip], &mut season.hottest_c, (set_c, 80.0), units);
}

fn temperature(
    ui: &mut Ui,
    grip: &mut Grip,
    [what, tip]: [&str; 2],
    celsius: &mut f64,
    (low, high): (f64, f64),
    units: UnitSystem,
) {
    row(ui, what, tip, |ui| {
        if let Some(typed) = number(ui, grip, what, Unit::temperature(units), *celsius, low..=high.max(low)) {
            *celsius = typed;
        }
    });
}
