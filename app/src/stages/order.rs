//! The card of the Order stage: the bill of materials as it stands now, each count open to the places that make it.

use crate::card::heading;
use crate::command::Command;
use crate::fields::choice;
use crate::order_view::{ListedBy, OrderAsk};
use crate::session::Session;
use crate::stages::order_item;
use crate::theme;
use crate::words::{self, cautions::Place};
use egui::{Align, Layout, RichText, Ui};
use hillwire_core::order::{Item, ItemGroup};

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    heading(ui, "To buy");
    if session.outcome.order.items.is_empty() {
        let none_yet = "Nothing yet: draw a fence, and what it takes is counted here.";
        ui.label(if session.awaits_figures() { words::WORKING_OUT } else { none_yet });
        return;
    }
    bought_first(ui, session, commands);
    listed_by(ui, session, commands);
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        items(ui, session, commands);
    });
    ui.add_space(4.0);
    ui.separator();
    if let Some(says) = words::pegs_for_walk(session.shown_order()) {
        ui.label(says);
    }
    total(ui, session);
    ui.add_space(8.0);
    ui.horizontal_wrapped(|ui| {
        if ui.button("Save as a spreadsheet…").on_hover_text("An XLSX file whose totals are formulas").clicked() {
            commands.push(Command::ShareAs("xlsx"));
        }
        if ui.button("Save as a table…").on_hover_text("A CSV file that any spreadsheet opens").clicked() {
            commands.push(Command::ShareAs("csv"));
        }
        let tip = "A sheet that a supplier filled in: what fits is shown first, and nothing is taken before you say so";
        if ui.button("Read prices…").on_hover_text(tip).clicked() {
            commands.push(Command::AskForPrices);
        }
    });
    work(ui, session);
    what_if(ui, session);
    super::cautions(ui, Place::Order);
}

fn items(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let mut group = None;
    for item in session.listed_items() {
        if group != Some(item.group) && session.order_view.by == ListedBy::Use {
            group = Some(item.group);
            group_heading(ui, item.group);
        }
        row(ui, item, session, commands);
        if session.order_view.item.as_ref() == Some(&item.id) {
            order_item::details(ui, item, session, commands);
        }
    }
}

/// All at once, or one paddock first.
fn bought_first(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let fenced: Vec<(&str, &str)> = session
        .outcome
        .paddocks
        .iter()
        .filter(|paddock| !paddock.lines.is_empty())
        .map(|paddock| {
            let label = session.plan().feature(&paddock.id).map_or(paddock.id.as_str(), |feature| feature.label());
            (paddock.id.as_str(), label)
        })
        .collect();
    if fenced.is_empty() {
        return;
    }
    let chosen = session.order_view.paddock.as_ref().map_or("", |id| id.as_str());
    ui.horizontal(|ui| {
        ui.label(RichText::new("built first").color(theme::inks(ui).faint_ink))
            .on_hover_text("What one paddock takes before the rest: its fences, and what brings the pulse to them");
        let rows = std::iter::once(("", "all at once")).chain(fenced.iter().copied());
        if let Some(id) = choice(ui, "built first", 180.0, chosen, rows) {
            let paddock = session.outcome.paddocks.iter().map(|paddock| &paddock.id).find(|paddock| paddock.as_str() == id);
            commands.push(Command::Order(OrderAsk::First(paddock.cloned())));
        }
    });
}

/// Hours of work by task and ground.
fn work(ui: &mut Ui, session: &Session) {
    let labour = &session.shown_order().labour;
    if labour.works.is_empty() {
        return;
    }
    ui.add_space(10.0);
    heading(ui, "Work");
    ui.label(format!("{} of one person, as is usual:", words::hours(labour.hours)));
    for work in &labour.works {
        ui.horizontal(|ui| {
            let (task, ground) = (words::task(work.task), words::terrain(work.terrain));
            let room = (ui.available_width() - 62.0).max(80.0);
            ui.allocate_ui_with_layout(egui::vec2(room, 18.0), Layout::left_to_right(Align::Center), |ui| {
                ui.set_min_width(room);
                let amount = words::work_amount(work, session.units());
                let text = RichText::new(format!("{task}, {ground}")).small();
                ui.add(egui::Label::new(text).truncate()).on_hover_text(format!("{amount}, {ground}"));
            });
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| ui.label(words::hours(work.hours)));
        });
    }
}

/// What changes of the builds would cost.
fn what_if(ui: &mut Ui, session: &Session) {
    let Some(beside) = session.order_view.beside.as_ref().filter(|beside| !beside.variants.is_empty()) else { return };
    ui.add_space(10.0);
    heading(ui, "What else would cost");
    ui.label(RichText::new("With posts where they stand:").small().color(theme::inks(ui).faint_ink));
    let currency = &session.outcome.order.currency;
    for variant in &beside.variants {
        ui.add(egui::Label::new(words::what_if(variant, currency, session.catalogue(), session.units())).wrap());
    }
}

fn listed_by(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("listed by").color(theme::inks(ui).faint_ink));
        for (by, name) in ListedBy::ALL {
            if ui.selectable_label(session.order_view.by == by, name).clicked() {
                commands.push(Command::Order(OrderAsk::By(by)));
            }
        }
    });
}

fn total(ui: &mut Ui, session: &Session) {
    let order = session.shown_order();
    ui.horizontal(|ui| {
        ui.label(RichText::new("Total").strong());
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(RichText::new(words::money(order.total, &order.currency)).strong());
        });
    });
    if order.unpriced > 0 {
        let text = match order.unpriced {
            1 => "One of these has no price in the plan; the total leaves it out.".to_owned(),
            more => format!("{more} of these have no price in the plan; the total leaves them out."),
        };
        ui.label(RichText::new(text).weak());
    }
    if session.order_view.paddock.is_some() {
        let later = session.outcome.order.total - order.total;
        ui.label(RichText::new(format!("The rest can wait: {}", words::money(later, &order.currency))).weak());
    }
}

fn group_heading(ui: &mut Ui, group: ItemGroup) {
    ui.add_space(6.0);
    ui.label(RichText::new(words::group(group)).small().weak());
}

/// One item: its name, what is to be bought, what that costs; a click opens it to its places.
fn row(ui: &mut Ui, item: &Item, session: &Session, commands: &mut Vec<Command>) {
    let (catalogue, units, currency) = (session.catalogue(), session.units(), &session.outcome.order.currency);
    let is_open = session.order_view.item.as_ref() == Some(&item.id);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.y = 1.0;
        let room = (ui.available_width() - 132.0).max(80.0);
        let name = words::item(&item.id, catalogue);
        let amount = |amount: f64| words::item_amount(amount, item, units);
        let tip = format!("{name}: needed {} · in the shed {}. Show why, and where", amount(item.need), amount(item.on_hand));
        ui.allocate_ui_with_layout(egui::vec2(room, 22.0), Layout::left_to_right(Align::Center), |ui| {
            ui.set_min_width(room);
            let button = egui::Button::selectable(is_open, words::wire_in_short(name)).truncate();
            if ui.add(button).on_hover_text(tip).clicked() {
                let opened = (!is_open).then(|| item.id.clone());
                commands.push(Command::Order(OrderAsk::Item(opened)));
            }
        });
        ui.allocate_ui_with_layout(egui::vec2(60.0, 22.0), Layout::right_to_left(Align::Center), |ui| {
            ui.set_min_width(60.0);
            ui.label(words::to_buy(item, units));
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let price = item.price.map_or_else(|| "–".to_owned(), |price| words::money_short(price, currency));
            ui.label(price);
        });
    });
}
