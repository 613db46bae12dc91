//! The card of the Order stage: the bill of materials as it stands now, each count open to the places that make it.

use crate::card::heading;
use crate::command::Command;
use crate::order_view::{ListedBy, OrderAsk};
use crate::session::Session;
use crate::stages::order_item;
use crate::theme;
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
    listed_by(ui, session, commands);
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
    ui.add_space(4.0);
    ui.separator();
    total(ui, session);
    ui.add_space(8.0);
    if ui.button("Save as a table…").on_hover_text("A CSV file that any spreadsheet opens").clicked() {
        commands.push(Command::ShareAs("csv"));
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
    let order = &session.outcome.order;
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
        ui.spacing_mut().interact_size.y = 20.0;
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
