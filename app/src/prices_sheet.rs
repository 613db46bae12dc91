//! The sheet that shows prices as they came back from a supplier, before any of them is taken.

use crate::command::Command;
use crate::order_view::OrderAsk;
use crate::session::Session;
use crate::sheets::sheet;
use crate::theme;
use crate::words;
use egui::{Grid, RichText, ScrollArea, Ui};
use hillwire_core::order::quote::Quote;

/// Draws it.
pub fn show(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(quote) = &session.order_view.quote else { return commands.push(Command::CloseSheet) };
    let open = sheet(ui, "Prices that came back", |ui| {
        ui.set_width(560.0);
        ScrollArea::vertical().max_height(440.0).show(ui, |ui| {
            prices(ui, quote, session);
            mismatches(ui, quote, session);
        });
        ui.add_space(8.0);
        let currency = &session.outcome.order.currency;
        let (now, then) = (session.outcome.order.total, quote.total);
        ui.label(format!(
            "The whole order: {} now, {} with these prices.",
            words::money(now, currency),
            words::money(then, currency)
        ));
        ui.add_space(6.0);
        ui.horizontal(|ui| {
            let take = ui.add_enabled(!quote.prices.is_empty(), egui::Button::new("Take these prices"));
            if take.on_hover_text("All of them in one step, which undo takes back").clicked() {
                commands.push(Command::Order(OrderAsk::TakePrices));
            }
            if ui.button("Leave them").clicked() {
                commands.push(Command::LeaveSheet);
            }
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn prices(ui: &mut Ui, quote: &Quote, session: &Session) {
    let currency = &session.outcome.order.currency;
    if quote.prices.is_empty() {
        ui.label("No price in it can be taken.");
        return;
    }
    Grid::new("quoted").num_columns(3).spacing([18.0, 3.0]).striped(true).show(ui, |ui| {
        for heading in ["price of one", "now", "then"] {
            ui.label(RichText::new(heading).color(theme::inks(ui).faint_ink));
        }
        ui.end_row();
        for quoted in &quote.prices {
            ui.label(words::item(&quoted.id, session.catalogue()));
            ui.label(quoted.before.map_or_else(|| "none".to_owned(), |price| words::money(price, currency)));
            ui.label(RichText::new(words::money(quoted.unit_price, currency)).strong());
            ui.end_row();
        }
    });
}

fn mismatches(ui: &mut Ui, quote: &Quote, session: &Session) {
    if quote.mismatches.is_empty() {
        return;
    }
    ui.add_space(8.0);
    ui.label(RichText::new("What does not fit").font(theme::bold(14.0)));
    for mismatch in &quote.mismatches {
        ui.add(egui::Label::new(words::mismatch(mismatch, session.catalogue())).wrap());
    }
}
