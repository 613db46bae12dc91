//! The bill of materials as a spreadsheet whose prices and totals are formulas.

use super::cleaned::cleaned;
use super::order_table::{Cell, Table, table};
use super::recipient::{Audience, Part};
use crate::catalogue::Catalogue;
use crate::order::{Labour, Order};
use jiff::civil::Date;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatBorder, Formula, IntoExcelData, Workbook, Worksheet, XlsxError,
};

/// Names of tasks and grounds, from whoever has the words.
pub struct WorkWords {
    /// Of a task.
    pub task: fn(crate::order::Task) -> &'static str,
    /// Of the ground it is done on.
    pub terrain: fn(crate::order::Terrain) -> &'static str,
}

/// A workbook: the order, and the work where the recipient may see it. `on` is the day that it is made.
///
/// # Errors
/// When the writer refuses a cell.
pub fn order_xlsx(order: &Order, catalogue: &Catalogue, to: Audience, words: &WorkWords, on: Date) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The writer would ask the clock.
    let (year, month, day) = (on.year(), on.month(), on.day());
    let made = ExcelDateTime::from_ymd(u16::try_from(year).unwrap_or(2000), month.unsigned_abs(), day.unsigned_abs())?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    order_sheet(book.add_worksheet(), &table(order, catalogue, to))?;
    if to.sees(Part::Work) {
        work_sheet(book.add_worksheet(), &order.labour, words)?;
    }
    book.save_to_buffer()
}

fn heading() -> Format {
    Format::new().set_bold().set_border_bottom(FormatBorder::Thin)
}

fn order_sheet(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    sheet.set_name("Order")?;
    sheet.set_freeze_panes(1, 0)?;
    let money = Format::new().set_num_format("0.00");
    let price = Format::new().set_num_format("0.00##");
    let bold = Format::new().set_bold();
    let plain = Format::new();
    for (column, text) in (0..).zip(&table.headings) {
        sheet.write_with_format(0, column, *text, &heading())?;
        let width = match *text {
            "item" => 46.0,
            "id" | "comes in" => 17.0,
            _ => 12.0,
        };
        sheet.set_column_width(column, width)?;
    }
    for (row, cells) in (1..).zip(&table.rows) {
        for (column, cell) in (0..).zip(cells) {
            let at = (row, column);
            match cell {
                Cell::Nothing => {}
                Cell::Text(text) if row as usize == table.rows.len() => put(sheet, at, cleaned(text).as_str(), &bold)?,
                Cell::Text(text) => put(sheet, at, cleaned(text).as_str(), &plain)?,
                Cell::Number(number) => put(sheet, at, *number, &plain)?,
                Cell::Money(sum) => put(sheet, at, *sum, &price)?,
                Cell::Formula(formula, value) => {
                    let form = if formula.contains("ROUNDUP") { &plain } else { &money };
                    put(sheet, at, Formula::new(formula).set_result(value.to_string()), form)?;
                }
            }
        }
    }
    Ok(())
}

fn put(sheet: &mut Worksheet, (row, column): (u32, u16), what: impl IntoExcelData, form: &Format) -> Result<(), XlsxError> {
    sheet.write_with_format(row, column, what, form).map(|_| ())
}

/// Hours by task and ground, which add up when any of them is typed over.
fn work_sheet(sheet: &mut Worksheet, labour: &Labour, words: &WorkWords) -> Result<(), XlsxError> {
    sheet.set_name("Work")?;
    for (column, (text, width)) in
        (0..).zip([("task", 40.0), ("ground", 18.0), ("amount", 12.0), ("hours for one", 14.0), ("hours", 12.0)])
    {
        sheet.write_with_format(0, column, text, &heading())?;
        sheet.set_column_width(column, width)?;
    }
    let hours = Format::new().set_num_format("0.0");
    let each = Format::new().set_num_format("0.000");
    let mut row = 1;
    for work in &labour.works {
        sheet.write(row, 0, (words.task)(work.task))?;
        sheet.write(row, 1, (words.terrain)(work.terrain))?;
        sheet.write_with_format(row, 2, work.amount, &hours)?;
        sheet.write_with_format(row, 3, work.hours / work.amount, &each)?;
        let formula = Formula::new(format!("=C{0}*D{0}", row + 1)).set_result(work.hours.to_string());
        sheet.write_with_format(row, 4, formula, &hours)?;
        row += 1;
    }
    let sum = Formula::new(format!("=SUM(E2:E{row})")).set_result(labour.hours.to_string());
    sheet.write_with_format(row, 0, "total", &Format::new().set_bold())?;
    sheet.write_with_format(row, 4, sum, &hours)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::quote::quote;
    use crate::order::{CountedIn, Item, ItemGroup, Task, Terrain, Work};
    use crate::share::Recipient;
    use crate::share::read_sheet;
    use crate::units::Length;

    fn order() -> Order {
        let item = |id: &str, buy: f64, unit_price: Option<f64>| Item {
            id: id.to_owned(),
            group: ItemGroup::Fittings,
            need: buy,
            net: buy,
            on_hand: 0.0,
            buy,
            counted_in: CountedIn::Piece,
            roll: None,
            rolls: None,
            pack: 1,
            left_over: 0.0,
            why: vec![],
            unit_price,
            priced_on: None,
            price: unit_price.map(|price| price * buy),
        };
        let wire = Item {
            roll: Some(Length::metres(805.0)),
            rolls: Some(2),
            counted_in: CountedIn::Metre,
            ..item("ht-14ga", 1610.0, Some(0.09))
        };
        let works = vec![Work { task: Task::LinePosts, terrain: Terrain::Steep, amount: 40.0, hours: 4.0 }];
        Order {
            items: vec![wire, item("t-post", 40.0, Some(4.2))],
            currency: "GBP".to_owned(),
            total: 312.9,
            labour: Labour { works, hours: 4.0 },
            ..Order::default()
        }
    }

    fn words() -> WorkWords {
        WorkWords { task: |_| "setting posts", terrain: |_| "steep" }
    }

    #[test]
    fn a_sheet_that_goes_out_and_comes_back_untouched_changes_no_price() {
        let (all, on) = (Catalogue::built_in(), jiff::civil::date(2026, 5, 1));
        let bytes = order_xlsx(&order(), all, Recipient::Keeper.into(), &words(), on).expect("it is written");
        let rows = read_sheet(&bytes).expect("it is read");
        let back = quote(&rows, &order(), all).expect("its headings are there");
        assert!(back.mismatches.is_empty(), "{:?}", back.mismatches);
        for quoted in &back.prices {
            assert_eq!(quoted.before, Some(quoted.unit_price), "{}", quoted.id);
        }
        assert_eq!(back.prices.len(), 2);
        assert!((back.total - 312.9).abs() < 1e-9);
    }

    #[test]
    fn two_sheets_of_one_day_are_the_same_bytes() {
        let on = jiff::civil::date(2026, 5, 1);
        let made =
            || order_xlsx(&order(), Catalogue::built_in(), Recipient::Supplier.into(), &words(), on).expect("it is written");
        assert_eq!(made(), made());
    }
}
