//! Groups of animals: what they are, how many, how heavy, and how fast they grow.

use super::kind_change;
use crate::card::heading;
use crate::clock::today;
use crate::command::Command;
use crate::fields::{Grip, Unit, choice, number, row, rows, text, tick};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{CollapsingHeader, RichText, Ui};
use hillwire_core::bounds::HEAD;
use hillwire_core::catalogue::{AnimalRow, Catalogue};
use hillwire_core::plan::{Edit, Feature, Gesture, Head, Kind, Paddock, Plan, StockGroup};
use jiff::civil::Date;

/// The class that stands for "whatever fits its weight".
const BY_WEIGHT: (&str, &str) = ("", "by its weight");
/// Heaviest and lightest animal, kilograms.
const MASS_KG: (f64, f64) = (0.5, 1500.0);

/// All groups of the plan.
pub fn overview(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.add_space(8.0);
    heading(ui, "Stock");
    let groups = &session.plan().head.stock;
    if groups.is_empty() {
        ui.label("Who lives behind these fences? With their weight, the plan says until when the strands hold them.");
    }
    for group in groups {
        let title = format!("{}  ·  {} {}", group.id, group.head, words::species(&group.species));
        CollapsingHeader::new(title).id_salt(("group", &group.id)).show_unindented(ui, |ui| editor(ui, session, group, commands));
    }
    new_group(ui, session, None, commands);
}

/// A list of species to make a new group of. With a paddock selected, the group goes there.
pub fn new_group(ui: &mut Ui, session: &Session, paddock: Option<(&Feature, &Paddock)>, commands: &mut Vec<Command>) {
    let tip = if paddock.is_some() { "Some animals, put into this paddock" } else { "Some animals that are kept together" };
    let menu = ui.menu_button("New group of…", |ui| {
        for species in kept_species(session.catalogue()) {
            if ui.button(words::species(species)).clicked() {
                add(session, species, paddock, commands);
                ui.close();
            }
        }
    });
    menu.response.on_hover_text(tip);
}

/// The species that are kept in, each once, in the catalogue's order.
fn kept_species(catalogue: &Catalogue) -> Vec<&str> {
    let mut all: Vec<&str> = Vec::new();
    for row in catalogue.animals.iter().filter(|row| row.is_kept_in()) {
        if !all.contains(&row.species.as_str()) {
            all.push(&row.species);
        }
    }
    all
}

fn add(session: &Session, species: &str, paddock: Option<(&Feature, &Paddock)>, commands: &mut Vec<Command>) {
    let mut head = (*session.plan().head).clone();
    let wanted = words::species(species);
    let mut id = wanted.to_owned();
    let mut number = 2;
    while head.stock.iter().any(|group| group.id == id) {
        id = format!("{wanted} {number}");
        number += 1;
    }
    head.stock.push(StockGroup { id: id.clone(), species: species.to_owned(), head: 1, ..StockGroup::default() });
    let mut edits = vec![Edit::SetHead(Box::new(head))];
    edits.extend(paddock.map(|(feature, paddock)| holds(feature, paddock, Some(&id))));
    commands.push(Command::Change(Gesture::AddedStock { group: id }, edits));
}

fn holds(feature: &Feature, paddock: &Paddock, group: Option<&str>) -> Edit {
    kind_change(feature, Kind::Paddock(Paddock { stock: group.map(str::to_owned), ..paddock.clone() })).1
}

/// The paddocks of a group get another one, or none, in its place.
fn paddocks_with<'a>(plan: &'a Plan, group: &'a str, then: Option<&'a str>) -> impl Iterator<Item = Edit> + 'a {
    plan.features.iter().filter_map(move |feature| match &feature.kind {
        Kind::Paddock(paddock) if paddock.stock.as_deref() == Some(group) => Some(holds(feature, paddock, then)),
        _ => None,
    })
}

/// What can be said about one group.
pub fn editor(ui: &mut Ui, session: &Session, group: &StockGroup, commands: &mut Vec<Command>) {
    ui.push_id(("group", &group.id), |ui| {
        name_row(ui, session, group, commands);
        let mut changed = group.clone();
        let mut grip = Grip::default();
        let width = (ui.available_width() - 110.0).clamp(110.0, 240.0);
        rows(ui, "group", |ui| {
            who(ui, &mut grip, &mut changed, (width, session.catalogue()));
            weight(ui, &mut grip, &mut changed, session);
        });
        let edits = (changed != *group).then(|| {
            let mut head = (*session.plan().head).clone();
            if let Some(slot) = head.stock.iter_mut().find(|known| known.id == group.id) {
                *slot = changed;
            }
            vec![Edit::SetHead(Box::new(head))]
        });
        grip.ask(Gesture::ChangedStock { group: group.id.clone() }, edits, commands);
    });
}

fn name_row(ui: &mut Ui, session: &Session, group: &StockGroup, commands: &mut Vec<Command>) {
    let plan = session.plan();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label(RichText::new("name").color(theme::inks(ui).faint_ink)).on_hover_text("What you call these animals");
        let refuse = |name: &str| refused(&plan.head, name);
        if let Some(name) = text(ui, "name of the group", 130.0, &group.id, "name of the group", refuse) {
            let mut head = (*plan.head).clone();
            if let Some(slot) = head.stock.iter_mut().find(|known| known.id == group.id) {
                slot.id.clone_from(&name);
            }
            let paddocks = paddocks_with(plan, &group.id, Some(&name));
            let edits = [Edit::SetHead(Box::new(head))].into_iter().chain(paddocks).collect();
            commands.push(Command::Change(Gesture::Renamed { from: group.id.clone(), to: name.clone() }, edits));
        }
        let tip = "Take these animals out of the plan, and out of their paddocks";
        if ui.button("Delete").on_hover_text(tip).clicked() {
            let mut head = (*plan.head).clone();
            head.stock.retain(|known| known.id != group.id);
            let edits = [Edit::SetHead(Box::new(head))].into_iter().chain(paddocks_with(plan, &group.id, None)).collect();
            commands.push(Command::Change(Gesture::RemovedStock { group: group.id.clone() }, edits));
        }
    });
}

fn refused(head: &Head, name: &str) -> Option<String> {
    if name.is_empty() {
        Some("A group needs a name.".to_owned())
    } else if head.stock.iter().any(|group| group.id == name) {
        Some("Another group is called that.".to_owned())
    } else {
        None
    }
}

fn who(ui: &mut Ui, grip: &mut Grip, group: &mut StockGroup, (width, catalogue): (f32, &Catalogue)) {
    let species = kept_species(catalogue).into_iter().map(|species| (species, words::species(species)));
    row(ui, "species", "What sort of animals they are", |ui| {
        if let Some(species) = choice(ui, "species", width, &group.species, species) {
            group.species = species;
            // The class and the weight were those of other animals.
            (group.class, group.weight_kg) = (None, None);
        }
    });
    let of_species = group.species.clone();
    let classes = catalogue.animals.iter().filter(|row| row.species == of_species);
    let classes = classes.map(|row| (row.class.as_str(), row.label.as_str()));
    row(ui, "class", "Age and use within the species: it says how tall they stand and what they eat", |ui| {
        let now = group.class.clone().unwrap_or_default();
        if let Some(class) = choice(ui, "class", width, &now, [BY_WEIGHT].into_iter().chain(classes)) {
            group.class = Some(class).filter(|class| !class.is_empty());
        }
    });
    row(ui, "head", "How many animals there are", |ui| {
        if let Some(head) = number(ui, grip, "head", Unit::pieces(), f64::from(group.head), 1.0..=f64::from(HEAD)) {
            group.head = head.round() as u32;
        }
    });
}

fn weight(ui: &mut Ui, grip: &mut Grip, group: &mut StockGroup, session: &Session) {
    let units = session.units();
    let usual = usual_row(group, session.catalogue()).map_or(30.0, |row| row.mass_kg);
    let tip = "What one of them weighs: on a scale, or by girth and length. Unticked: what its class usually weighs";
    row(ui, "weight", tip, |ui| {
        let mut known = group.weight_kg.is_some();
        if tick(ui, "weight is known", &mut known, tip) {
            group.weight_kg = known.then_some(usual);
            group.as_of = known.then(today);
            group.gain_kg_per_day = group.gain_kg_per_day.filter(|_| known);
        }
        match group.weight_kg {
            Some(kg) => {
                if let Some(kg) = number(ui, grip, "weight", Unit::mass(units), kg, MASS_KG.0..=MASS_KG.1) {
                    group.weight_kg = Some(kg);
                }
            }
            None => {
                drop(ui.label(RichText::new(format!("usual: {}", words::mass(usual, units))).color(theme::inks(ui).faint_ink)))
            }
        }
    });
    if group.weight_kg.is_none() {
        return;
    }
    row(ui, "weighed on", "The day on which they weighed that: year-month-day", |ui| {
        if let Some(day) = day_field(ui, "weighed on", group.as_of) {
            group.as_of = day;
        }
    });
    row(ui, "gain", "What one of them puts on in a day; zero for grown animals", |ui| {
        let gain = group.gain_kg_per_day.unwrap_or(0.0);
        if let Some(gain) = number(ui, grip, "gain", Unit::gain(units), gain, -2.0..=3.0) {
            group.gain_kg_per_day = Some(gain).filter(|gain| gain.abs() > 1e-9);
        }
    });
}

/// The row of the catalogue that a group's weight is guessed from.
fn usual_row<'a>(group: &StockGroup, catalogue: &'a Catalogue) -> Option<&'a AnimalRow> {
    catalogue.animal(&group.species, group.class.as_deref())
}

/// A day to be typed, or none; the new one when it was changed.
pub fn day_field(ui: &mut Ui, name: &str, day: Option<Date>) -> Option<Option<Date>> {
    let now = day.map_or_else(String::new, |day| day.to_string());
    let typed = text(ui, name, 126.0, &now, "year-month-day", |typed| words::typed_day(typed).err())?;
    words::typed_day(&typed).ok()
}
