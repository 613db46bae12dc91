//! Sheets of paper: their sizes, and tables on them.

use super::clip::Frame;
use super::drawing::{Anchor, Drawing, Pen, Type, wrapped};

/// What is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI A).
    Letter,
}

/// Which way up it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turned {
    Upright,
    Across,
}

impl Paper {
    /// Width and height in printer's points.
    pub(super) fn points(self, turned: Turned) -> (f64, f64) {
        let (short, long) = match self {
            Self::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Self::Letter => (612.0, 792.0),
        };
        if turned == Turned::Upright { (short, long) } else { (long, short) }
    }
}

/// Paper that no printer reaches, points.
pub(super) const MARGIN: f64 = 30.0;
pub(super) const INK: &str = "#22262a";
pub(super) const FAINT: &str = "#5c6166";
pub(super) const RULE: &str = "#b9bdc1";
pub(super) const WARNING: &str = "#b3261e";

pub(super) const HEADING: Type = Type { size: 15.0, ink: INK, anchor: Anchor::Start, bold: true };
pub(super) const BODY: Type = Type { size: 9.0, ink: INK, anchor: Anchor::Start, bold: false };
pub(super) const SMALL: Type = Type { size: 7.5, ink: FAINT, anchor: Anchor::Start, bold: false };

/// A column of a table.
#[derive(Clone, Debug)]
pub struct Column {
    /// What stands above it.
    pub heading: String,
    /// Its share of the width.
    pub share: f64,
    /// Whether it holds numbers.
    pub numbers: bool,
}

/// A table with words above and below it.
#[derive(Clone, Debug, Default)]
pub struct TableSheet {
    /// Above everything.
    pub title: String,
    /// Under the title, each in a line.
    pub facts: Vec<String>,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows; a row with one cell is a heading among them.
    pub rows: Vec<Vec<String>>,
    /// Below it, each from a new line on.
    pub below: Vec<String>,
    /// At the foot of each sheet.
    pub cautions: Vec<String>,
    /// Whether it is read or filled in.
    pub filled_in: Rows,
}

/// What the rows of a table are for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rows {
    /// They are read.
    #[default]
    Read,
    /// They are filled in with a pencil: higher, with lines between the columns.
    ByHand,
}

impl Rows {
    fn height(self) -> f64 {
        match self {
            Self::Read => ROW,
            Self::ByHand => 20.0,
        }
    }
}

const ROW: f64 = 15.0;

/// The table on as many sheets as it takes, upright.
pub fn table_sheets(table: &TableSheet, paper: Paper) -> Vec<Drawing> {
    let (width, height) = paper.points(Turned::Upright);
    let letters = ((width - 2.0 * MARGIN) / 3.9) as usize;
    let cautions: Vec<String> = table.cautions.iter().flat_map(|caution| wrapped(caution, letters)).collect();
    let below: Vec<String> = table.below.iter().flat_map(|line| wrapped(line, letters * 10 / 12)).collect();
    let bottom = height - MARGIN - 10.0 * cautions.len() as f64 - 8.0;
    let mut sheets = Vec::new();
    let mut rows = table.rows.iter().peekable();
    let mut left_below = below.iter().peekable();
    loop {
        let mut sheet = Drawing::sheet(width, height, &table.title);
        let mut y = head(&mut sheet, table, sheets.len() + 1);
        if rows.peek().is_some() {
            y = headings(&mut sheet, table, y);
        }
        while y < bottom
            && let Some(cells) = rows.next()
        {
            row(&mut sheet, table, cells, y);
            y += table.filled_in.height();
        }
        y += 6.0;
        while y < bottom
            && rows.peek().is_none()
            && let Some(line) = left_below.next()
        {
            sheet.words((MARGIN, y), line, BODY);
            y += 12.0;
        }
        foot(&mut sheet, &cautions, height);
        sheets.push(sheet);
        if rows.peek().is_none() && left_below.peek().is_none() {
            return sheets;
        }
    }
}

fn head(sheet: &mut Drawing, table: &TableSheet, number: usize) -> f64 {
    let right = sheet.width - MARGIN;
    sheet.words((MARGIN, MARGIN + 14.0), &table.title, HEADING);
    sheet.words((right, MARGIN + 14.0), &number.to_string(), Type { anchor: Anchor::End, ..SMALL });
    let mut y = MARGIN + 30.0;
    for fact in &table.facts {
        sheet.words((MARGIN, y), fact, BODY);
        y += 12.0;
    }
    y + 10.0
}

/// Left edge and width of a column.
fn column(sheet: &Drawing, table: &TableSheet, index: usize) -> (f64, f64) {
    let width = sheet.width - 2.0 * MARGIN;
    let all: f64 = table.columns.iter().map(|column| column.share).sum();
    let before: f64 = table.columns[..index].iter().map(|column| column.share).sum();
    (MARGIN + width * before / all, width * table.columns[index].share / all)
}

fn headings(sheet: &mut Drawing, table: &TableSheet, y: f64) -> f64 {
    for (index, head) in table.columns.iter().enumerate() {
        cell(sheet, table, index, &head.heading, (y, Type { ink: FAINT, ..BODY }));
    }
    sheet.line(&[(MARGIN, y + 4.0), (sheet.width - MARGIN, y + 4.0)], Pen::of(INK, 0.8));
    y + ROW
}

fn row(sheet: &mut Drawing, table: &TableSheet, cells: &[String], y: f64) {
    if let [heading] = cells {
        return sheet.words((MARGIN, y), heading, Type { bold: true, ..BODY });
    }
    for (index, text) in cells.iter().enumerate().take(table.columns.len()) {
        cell(sheet, table, index, text, (y, BODY));
    }
    let (low, high) = (y + 4.0, y + 4.0 - table.filled_in.height());
    sheet.line(&[(MARGIN, low), (sheet.width - MARGIN, low)], Pen::of(RULE, 0.4));
    if table.filled_in == Rows::ByHand {
        for index in 1..table.columns.len() {
            let x = column(sheet, table, index).0 - 3.0;
            sheet.line(&[(x, low), (x, high)], Pen::of(RULE, 0.4));
        }
    }
}

fn cell(sheet: &mut Drawing, table: &TableSheet, index: usize, text: &str, (y, how): (f64, Type)) {
    let (left, width) = column(sheet, table, index);
    if table.columns[index].numbers {
        sheet.words((left + width - 4.0, y), text, Type { anchor: Anchor::End, ..how });
    } else {
        sheet.words((left, y), &fitting(text, how.size, width - 6.0), how);
    }
}

/// As much of a text as there is room for.
pub(super) fn fitting(text: &str, size: f64, room: f64) -> String {
    let wide = |text: &str| super::letters::width(text, Type { size, ..BODY });
    if wide(text) <= room {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while !kept.is_empty() && wide(&kept) + size > room {
        kept.pop();
    }
    kept + "…"
}

pub(super) fn foot(sheet: &mut Drawing, cautions: &[String], height: f64) {
    let mut y = height - MARGIN - 10.0 * cautions.len() as f64 + 8.0;
    for line in cautions {
        sheet.words((MARGIN, y), line, Type { ink: WARNING, ..SMALL });
        y += 10.0;
    }
}

/// Sheets one under the other in one drawing, for a form of file that has no pages.
pub fn stacked(sheets: Vec<Drawing>) -> Option<Drawing> {
    let first = sheets.first()?;
    let height = sheets.iter().map(|sheet| sheet.height).sum();
    let mut all = Drawing::sheet(first.width, height, &first.title.clone());
    let mut top = 0.0;
    for sheet in sheets {
        let below = top + sheet.height;
        sheet.laid_on(&mut all, (0.0, top), 1.0);
        top = below;
    }
    Some(all)
}

/// A drawing made for the screen, as large as it fits on a sheet; across where that leaves it larger.
pub fn fitted_sheet(drawing: Drawing, paper: Paper) -> Drawing {
    let factor = |turned: Turned| {
        let (width, height) = paper.points(turned);
        ((width - 2.0 * MARGIN) / drawing.width).min((height - 2.0 * MARGIN) / drawing.height)
    };
    let turned = if factor(Turned::Across) > factor(Turned::Upright) { Turned::Across } else { Turned::Upright };
    let (width, height) = paper.points(turned);
    let mut sheet = Drawing::sheet(width, height, &drawing.title);
    let factor = factor(turned);
    let left = (width - drawing.width * factor) / 2.0;
    drawing.laid_on(&mut sheet, (left, MARGIN), factor);
    sheet
}

/// The part of a sheet inside its margins.
pub(super) fn inside(width: f64, height: f64) -> Frame {
    Frame { left: MARGIN, top: MARGIN, right: width - MARGIN, bottom: height - MARGIN }
}
