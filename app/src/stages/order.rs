//! The card of the Order stage: the bill of materials as it stands now.

use crate::card::heading;
use crate::command::Command;
use crate::session::Session;
use crate::words;
use egui::{Align, Layout, RichText, Ui};
use hillwire_core::order::{Item, ItemGroup};

/// What the card shows.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let order = &session.outcome.order;
    heading(ui, "To buy");
    if order.items.is_empty() {
        ui.label("Nothing yet: draw a fence, and what it takes is counted here.");
        return;
    }
    let mut group = None;
    for item in &order.items {
        if group != Some(item.group) {
            group = Some(item.group);
            group_heading(ui, item.group);
        }
        row(ui, item, session);
    }
    ui.add_space(4.0);
    ui.separator();
    ui.horizontal(|ui| {
        ui.label(RichText::new("Total").strong());
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(RichText::new(words::money(order.total, &order.currency)).strong());
        });
    });
    if order.unpriced > 0 {
        ui.label(
            RichText::new(format!("{} of these have no price in the plan; the total leaves them out.", order.unpriced)).weak(),
        );
    }
    ui.add_space(8.0);
    if ui.button("Save as a table…").on_hover_text("A CSV file that any spreadsheet opens").clicked() {
        commands.push(Command::ShareAs("csv"));
    }
}

fn group_heading(ui: &mut Ui, group: ItemGroup) {
    ui.add_space(6.0);
    ui.label(RichText::new(words::group(group)).small().weak());
}

fn row(ui: &mut Ui, item: &Item, session: &Session) {
    let (catalogue, units, currency) = (session.catalogue(), session.units(), &session.outcome.order.currency);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let room = (ui.available_width() - 128.0).max(80.0);
        let name = words::item(&item.id, catalogue);
        let amount = |amount: f64| words::amount(amount, item.counted_in, units);
        let tip = format!("{name}: needed {} · in the shed {}", amount(item.need), amount(item.on_hand));
        let label = egui::Label::new(name).truncate();
        ui.allocate_ui_with_layout(egui::vec2(room, 20.0), Layout::left_to_right(Align::Center), |ui| {
            ui.set_min_width(room);
            ui.add(label).on_hover_text(tip);
        });
        ui.allocate_ui_with_layout(egui::vec2(56.0, 20.0), Layout::right_to_left(Align::Center), |ui| {
            ui.set_min_width(56.0);
            ui.label(words::to_buy(item, units));
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let price = item.price.map_or_else(|| "–".to_owned(), |price| words::money_short(price, currency));
            ui.label(price);
        });
    });
}
