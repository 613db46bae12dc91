//! One item of the order, opened: why so much, where it goes, what is in the shed, what one costs.

use crate::clock::today;
use crate::command::Command;
use crate::fields::{Figure, figure, row, rows, text};
use crate::session::Session;
use crate::theme;
use crate::words;
use egui::{Margin, RichText, Ui};
use hillwire_core::bounds::SHED_AMOUNT;
use hillwire_core::finding::Place;
use hillwire_core::order::quote::set_price;
use hillwire_core::order::{CountedIn, Item, Share, TakenAt};
use hillwire_core::plan::{Edit, Gesture, Head};

/// Places beyond this are told by their number only.
const PLACES_LISTED: usize = 40;

/// What is known about one item.
pub fn details(ui: &mut Ui, item: &Item, session: &Session, commands: &mut Vec<Command>) {
    let frame = egui::Frame::new().fill(ui.visuals().faint_bg_color).corner_radius(5.0).inner_margin(Margin::symmetric(8, 6));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(RichText::new(words::item(&item.id, session.catalogue())).strong());
        shed_and_price(ui, item, session, commands);
        let amount = |amount: f64| words::item_amount(amount, item, session.units());
        ui.label(format!("{} needed:", amount(item.need)));
        ui.spacing_mut().item_spacing.y = 2.0;
        let mut listed = 0;
        for share in &item.why {
            share_of(ui, share, item, session);
            for taken in &share.places {
                listed += 1;
                if listed <= PLACES_LISTED {
                    place(ui, taken, item, session, commands);
                }
            }
        }
        if listed > PLACES_LISTED {
            let more = format!("and {} more places, all marked on the map", listed - PLACES_LISTED);
            ui.label(RichText::new(more).small().color(theme::inks(ui).faint_ink));
        }
        if item.left_over > 0.005 && item.counted_in != CountedIn::Tonne {
            let comes = words::comes_in(item, session.units());
            ui.label(RichText::new(format!("{} left over: it comes by the {comes}.", amount(item.left_over))).small());
        }
    });
    ui.add_space(4.0);
}

fn share_of(ui: &mut Ui, share: &Share, item: &Item, session: &Session) {
    let amount = words::item_amount(share.amount, item, session.units());
    ui.add(egui::Label::new(format!("{amount}  {}", words::count_rule(share.rule))).wrap());
}

/// A place with the way to it.
fn place(ui: &mut Ui, taken: &TakenAt, item: &Item, session: &Session, commands: &mut Vec<Command>) {
    let says = words::taken_at(taken, session.plan(), session.units());
    let amount = words::item_amount(taken.amount, item, session.units());
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 16.0;
        ui.spacing_mut().button_padding.y = 0.0;
        ui.add_space(10.0);
        let text = RichText::new(format!("{amount} · {says}")).small();
        let shown = ui.add(egui::Button::new(text).truncate().frame(false)).on_hover_text("Show this place on the map");
        if shown.clicked()
            && let Some(at) = session.outcome.map_point_of(session.plan(), taken)
        {
            let line = session.line_outcome(&taken.feature).map(|line| line.id.clone());
            let at = session.position(at);
            commands.push(Command::Show(Place { line, station: taken.from, until: taken.until, at, cell: None }));
        }
    });
}

/// What the keeper has and what the shop asks, to be typed over.
fn shed_and_price(ui: &mut Ui, item: &Item, session: &Session, commands: &mut Vec<Command>) {
    let head = &session.plan().head;
    let unit = match item.counted_in {
        CountedIn::Metre => "m",
        CountedIn::Tonne => "t",
        _ => "",
    };
    rows(ui, "shed-and-price", |ui| {
        let tip = "What you have already. Of wire type each roll by itself: 805 230";
        row(ui, "in the shed", tip, |ui| {
            let now = in_shed_text(head, &item.id);
            let refuse = |typed: &str| amounts_typed(typed).is_none().then(|| "Numbers, with a space between rolls.".to_owned());
            let typed = text(ui, "in the shed", 110.0, &now, "nothing", refuse);
            ui.label(unit);
            if let Some(amounts) = typed.and_then(|typed| amounts_typed(&typed)) {
                let gesture = Gesture::ChangedShed { item: item.id.clone() };
                change_head(session, gesture, commands, |head| drop(set(&mut head.on_hand, &item.id, amounts)));
            }
        });
        let each = match item.counted_in {
            CountedIn::Metre => "price of a metre",
            CountedIn::Tonne => "price of a tonne",
            _ => "price of one",
        };
        row(ui, each, "As the supplier asks it; wire by the metre", |ui| {
            let shown = Figure { unit: &price_unit(item, head), hint: "unknown", range: 0.0..=1e6 };
            if let Some(price) = figure(ui, each, item.unit_price, &shown) {
                let gesture = Gesture::ChangedPrice { item: item.id.clone() };
                change_head(session, gesture, commands, |head| set_price(&mut head.prices, &item.id, price, Some(today())));
            }
        });
    });
}

/// The currency, and how old the price is.
fn price_unit(item: &Item, head: &Head) -> String {
    match item.priced_on {
        Some(day) => format!("{}, of {}", head.prices.currency, words::day(day)),
        None => head.prices.currency.clone(),
    }
}

fn set(on_hand: &mut std::collections::BTreeMap<String, Vec<f64>>, id: &str, amounts: Vec<f64>) -> Option<Vec<f64>> {
    if amounts.is_empty() { on_hand.remove(id) } else { on_hand.insert(id.to_owned(), amounts) }
}

fn change_head(session: &Session, gesture: Gesture, commands: &mut Vec<Command>, change: impl FnOnce(&mut Head)) {
    let mut head = (*session.plan().head).clone();
    change(&mut head);
    commands.push(Command::Change(gesture, vec![Edit::SetHead(Box::new(head))]));
}

fn in_shed_text(head: &Head, id: &str) -> String {
    let amounts = head.on_hand.get(id).map_or(&[][..], Vec::as_slice);
    amounts.iter().map(f64::to_string).collect::<Vec<_>>().join(" ")
}

/// Typed amounts; `None` for what is no number from zero on.
fn amounts_typed(typed: &str) -> Option<Vec<f64>> {
    let amount = |word: &str| word.replace(',', ".").parse::<f64>().ok().filter(|amount| (0.0..=SHED_AMOUNT).contains(amount));
    typed.split_whitespace().map(amount).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_numbers_with_a_space_between() {
        for (typed, expected) in
            [("805 230,5", Some(vec![805.0, 230.5])), ("", Some(vec![])), ("two", None), ("-3", None), ("25", Some(vec![25.0]))]
        {
            assert_eq!(amounts_typed(typed), expected, "{typed}");
        }
    }
}
