//! What is written on sheets and pages for others.

use super::cautions::{self, Place};
use super::{day, hours, item, length, money, says, task, terrain, work_amount};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::Weight;
use hillwire_core::order::quote::Asked;
use hillwire_core::order::{ItemGroup, Order};
use hillwire_core::outcome::Outcome;
use hillwire_core::plan::{Kind, Plan};
use hillwire_core::share::{Audience, Column, MapWords, PageWords, Part, Recipient, Rows, TableSheet};
use hillwire_core::units::Length;
use jiff::civil::Date;

/// Who gets it, as the window and the commands call them.
pub fn recipient(to: Recipient) -> &'static str {
    match to {
        Recipient::Keeper => "myself",
        Recipient::Neighbour => "the neighbour",
        Recipient::Supplier => "the supplier",
        Recipient::Contractor => "whoever builds it",
        Recipient::Round => "whoever goes round it",
    }
}

/// What a recipient is shown, in a sentence.
pub fn recipient_sees(to: Recipient) -> &'static str {
    match to {
        Recipient::Keeper => "Everything, prices, stock and readings among it.",
        Recipient::Neighbour => {
            "Where the fence runs, its gates and paddocks by name, where it is switched off, and the ground around. \
             No earth rods, water, shelter or feed, nothing private, and no order."
        }
        Recipient::Supplier => "What is to be bought, with room for prices. No map, nothing that others asked for it.",
        Recipient::Contractor => "Map, posts, findings, notes, what is to be bought and the work. No animals.",
        Recipient::Round => {
            "Map with the way round, posts, findings, notes, readings and faults, a table to fill in. Nothing to be bought."
        }
    }
}

/// What can be shown on top, as a command takes it and as the window calls it, with what it means.
pub const EXTRAS: [(Part, &str, &str); 5] = [
    (Part::Findings, "findings", "What the checker has to say"),
    (Part::Notes, "notes", "What you wrote to things"),
    (Part::Marks, "marks", "What you marked, and your names for zones, trees and measured heights"),
    (Part::Log, "log", "Readings, faults, strikes and photos"),
    (Part::Prices, "prices", "What it costs you"),
];

/// What stands on a map sheet.
fn map_cautions(to: Audience) -> String {
    let works = to.sees(Part::Posts);
    cautions::paragraph_at(if works { &[Place::MapSheet, Place::MapSheetForWork] } else { &[Place::MapSheet] })
}

fn title(plan: &Plan, what: &str) -> String {
    if plan.head.name.is_empty() { what.to_owned() } else { format!("{} · {what}", plan.head.name) }
}

fn fence_length(plan: &Plan, outcome: &Outcome) -> Length {
    let is_fence = |id| plan.feature(id).is_some_and(|feature| matches!(feature.kind, Kind::Fence(_)));
    outcome.lines.iter().filter(|line| is_fence(&line.id)).map(|line| line.measure.ground_length).sum()
}

/// How long it is, how old, and whom to ask.
fn by(plan: &Plan, outcome: &Outcome, on: Date, contact: Option<&str>) -> String {
    let made =
        format!("{} of fence on the ground · as planned on {}", length(fence_length(plan, outcome), plan.head.units), day(on));
    contact.map_or(made.clone(), |contact| format!("{made} · {contact}"))
}

/// What is written on a map sheet.
pub fn map_words(plan: &Plan, outcome: &Outcome, to: Audience, on: Date, contact: Option<&str>) -> MapWords {
    MapWords {
        title: title(plan, "map"),
        facts: vec![by(plan, outcome, on, contact)],
        cautions: vec![map_cautions(to)],
        scale: |scale| format!("Scale 1 : {}", grouped(scale)),
        contours: |every_m| format!("Contour lines every {every_m} m of height"),
        round: ["the round, ridden", "the round, on foot"],
    }
}

fn grouped(number: u32) -> String {
    if number < 10_000 { number.to_string() } else { format!("{}\u{202f}{:03}", number / 1000, number % 1000) }
}

/// What is written on the web page.
pub fn page_words(
    plan: &Plan,
    outcome: &Outcome,
    (to, catalogue): (Audience, &Catalogue),
    on: Date,
    contact: Option<&str>,
) -> PageWords {
    let units = plan.head.units;
    let listed = outcome.findings.iter().filter(|finding| finding.weight != Weight::Note);
    let finding = |finding: &hillwire_core::finding::Finding| {
        let what = format!("{} · {}", super::rule(finding.rule), super::weight(finding.weight));
        let says = format!("{}: {}", super::place(finding, plan, units), says(finding, plan, catalogue, units));
        (what, says, finding.place.at)
    };
    PageWords {
        title: title(plan, "where the fence runs"),
        by: vec![by(plan, outcome, on, contact)],
        cautions: cautions::at(Place::Page).map(str::to_owned).collect(),
        help: "Move the map with a finger or the mouse; two fingers or the wheel bring it closer. A name below shows its place."
            .to_owned(),
        headings: ["Lines, gates and paddocks".to_owned(), "What was found".to_owned()],
        findings: if to.sees(Part::Findings) { listed.map(finding).collect() } else { Vec::new() },
    }
}

/// The order as a table to be printed.
pub fn order_table(plan: &Plan, order: &Order, catalogue: &Catalogue, to: Audience, on: Date) -> TableSheet {
    let column = |heading: &str, share: f64, numbers: bool| Column { heading: heading.to_owned(), share, numbers };
    let currency = &order.currency;
    let mut columns = vec![column("item", 46.0, false), column("quantity", 10.0, true), column("comes in", 18.0, false)];
    columns.extend([column("price of one", 14.0, true), column("price", 14.0, true)]);
    let mut rows = Vec::new();
    let mut group: Option<ItemGroup> = None;
    for row in order.items.iter().filter(|row| row.buy > 0.0) {
        if group != Some(row.group) {
            group = Some(row.group);
            rows.push(vec![super::group(row.group).to_owned()]);
        }
        let asked = Asked::of(row);
        let price =
            |price: Option<f64>| price.filter(|_| to.sees(Part::Prices)).map_or_else(String::new, |price| money(price, currency));
        let quantity = format!("{}", (asked.quantity * 100.0).round() / 100.0);
        let each = row.unit_price.map(|each| each * asked.holds);
        rows.push(vec![item(&row.id, catalogue).to_owned(), quantity, asked.comes_in, price(each), price(row.price)]);
    }
    let mut below = Vec::new();
    if to.sees(Part::Prices) {
        below.push(format!("Total {}; {} items without a price", money(order.total, currency), order.unpriced));
    }
    below.extend(super::pegs_for_walk(order).filter(|_| to.sees(Part::Work)));
    if to.sees(Part::Work) && !order.labour.works.is_empty() {
        below.push(String::new());
        below.push(format!("Work of one person, as is usual: {}", hours(order.labour.hours)));
        below.extend(order.labour.works.iter().filter(|work| work.hours >= 0.05).map(|work| {
            let amount = work_amount(work, plan.head.units);
            format!("{}, {}, {amount}: {}", task(work.task), terrain(work.terrain), hours(work.hours))
        }));
    }
    TableSheet {
        title: title(plan, "to buy"),
        facts: vec![format!("As planned on {}", day(on))],
        columns,
        rows,
        below,
        cautions: vec![cautions::paragraph_at(&[Place::OrderSheet])],
        filled_in: Rows::Read,
    }
}

/// What a form of file is called, and what it is for, by its ending.
pub const FORMS: [(&str, &str, &str); 10] = [
    ("pdf", "Printed sheets (PDF)", "Map to scale, long sections and the order, as far as whoever gets them may see them"),
    ("html", "Web page (HTML)", "One file that any phone or computer shows without a program and without a network"),
    ("png", "Picture of the map (PNG)", "For a message"),
    ("svg", "Drawing of the map (SVG)", "Sharp at any size"),
    ("geojson", "Map file (GeoJSON)", "An open form of map file (RFC 7946), in longitude and latitude"),
    ("kml", "Map file (KML)", "For programs that show the globe"),
    ("gpx", "For a receiver or a phone (GPX)", "Lines as tracks, gates and other places as waypoints"),
    ("xlsx", "Spreadsheet of the order (XLSX)", "Its totals are formulas; filled in, it can be read back"),
    ("csv", "Table of the order (CSV)", "Any spreadsheet opens it"),
    ("section.png", "Picture of the long section (PNG)", "Of the line that is shown below"),
];

/// Whether somebody gets a form of file at all.
pub fn gets(to: Audience, ending: &str) -> bool {
    match ending {
        "xlsx" | "csv" => to.sees(Part::Order),
        "pdf" => true,
        "section.png" => to.sees(Part::Posts),
        _ => to.sees(Part::Fence),
    }
}
