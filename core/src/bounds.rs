//! How much of a thing may come in: every count and size that memory or time follows, in one table. Readers of files, fields of the window and
//! commands hold their input against these very values, before anything is allocated for it.
//!
//! | what | the most | what bounds it |
//! | --- | --- | --- |
//! | how far a place lies from the midst of its plan | 300 km | the working frame is true there to 0.1 % |
//! | features | 200 000 | ten years of weekly rounds are a tenth |
//! | corners of one line, ring or all | 200 000, 500 000 in all | a day's phone track is a tenth |
//! | corners and posts of all fences and lead-outs | 100 000 | 20 kB of memory each |
//! | length of all lines together | 5000 km | the ground is sampled at every cell under them |
//! | length of all fences and lead-outs together | 200 km | posts, pulse and findings are worked out for every metre of them |
//! | rods of an earth | 60 | every rod is reckoned against every other |
//! | conductors of a lead-out | 6 | each is a row and a column of every step of the pulse |
//! | strands of a build | 30 | the same, and nobody reaches higher |
//! | builds, groups of animals, grids, pictures, layouts | 200, 200, 50, 50, 50 | lists that the window shows whole |
//! | animals of a group | 100 000 | |
//! | rolls or pieces of one thing in the shed, and metres or pieces on all of them | 1000, 1 000 000 | the cutting of rolls tries them against each other |
//! | letters of a name, of a note or another text | 500, 20 000 | names are set in labels and titles |
//! | rows, columns, bytes of a table | 50 000, 100, 20 MB (200 MB unpacked) | |
//! | entries taken in from one file | 50 000 | |
//! | attributes of one element of an XML file | 5000 | each is held against all others |
//! | places where fences and lead-outs cross | 20 000 | each joins two lines and parts the ground: a phone that lay still for a day draws millions |
//! | readings that a fault is looked for by | 40 | each is foreseen for every fault at every place, and makes places to try |
//! | points of all contour lines of a grid | 4 million | 70 bytes each, until they are written: fine steps over steep ground make milliards |
//! | properties of a feature that are not ours | 2000 | each is held against all others when the plan is written |
//! | paddocks; gates, cut-outs, jumpers of a plan or layout | 2000; 5000 each | no holding has a tenth; each is held against all lines, or all others |
//! | energizers; earths, buildings | 30; 1000 each | each energizer is fitted anew for every change that may help each; an earth is held against all buildings |
//! | letters of a found value in a message, of a sentence about it | 60, 160 | |
//! | points of an air photo | 4000 million in the file, 300 million where it can only be decoded whole, 50 million kept | |
//! | different texts of a packed table | 500 000 | ten for each row |
//! | bytes of a projection or world file beside a grid or a picture | 1 MB | such a text has a few hundred |
//! | bytes that the drainage of a grid takes | 3 GB, or what is free | 140 million cells, some minutes |
//! | bytes of a plan, or of a file of another program | 500 MB | |
//!
//! The cells of elevation grids have a bound of their own ([`crate::land::MOST_CELLS`]).
//!
//! # Source
//! Key `common-practice`: our own choice, each well above what a holding has and below what a laptop of 8 GB bears.

/// How far from its midst a plan may reach, metres.
pub const PLAN_REACH_M: f64 = 300_000.0;
/// Features of a plan, and of one layout set aside.
pub const FEATURES: usize = 200_000;
/// Corners of one line or ring.
pub const CORNERS: usize = 200_000;
/// Corners of everything in a plan, layouts included.
pub const CORNERS_OF_PLAN: usize = 500_000;
/// Corners of all fences and lead-outs with the posts that their longest bays ask for.
pub const POSTS: usize = 100_000;
/// Places where fences and lead-outs cross each other or themselves.
pub const CROSSINGS: usize = 20_000;
/// All lines of a plan together, metres.
pub const LINES_M: f64 = 5_000_000.0;
/// All fences and lead-outs of a plan together, metres.
pub const FENCES_M: f64 = 200_000.0;
/// Posts or places of a line that are listed one by one.
pub const LISTED_POSTS: usize = 20_000;
/// Rods of an earth.
pub const RODS: u32 = 60;
/// Conductors of a lead-out side by side.
pub const CONDUCTORS: u32 = 6;
/// Strands of a build.
pub const STRANDS: usize = 30;
/// The shortest of the longest bays that a build may ask for, metres.
pub const SHORTEST_BAY_M: f64 = 0.5;
/// Builds of a plan.
pub const BUILDS: usize = 200;
/// Groups of animals of a plan.
pub const STOCK_GROUPS: usize = 200;
/// Animals of one group.
pub const HEAD: u32 = 100_000;
/// Elevation grids of a plan.
pub const GRIDS: usize = 50;
/// Air photos and other pictures of a plan.
pub const PICTURES: usize = 50;
/// Layouts set aside.
pub const LAYOUTS: usize = 50;
/// Things with a price, an amount in the shed or a day.
pub const PRICED: usize = 10_000;
/// Rolls or pieces of one thing in the shed.
pub const ROLLS: usize = 1000;
/// Metres or pieces of one thing in the shed.
pub const SHED_AMOUNT: f64 = 1e6;
/// Letters of a name or an id.
pub const NAME_LETTERS: usize = 500;
/// Letters of any other text.
pub const TEXT_LETTERS: usize = 20_000;
/// Rows of a table that comes in.
pub const TABLE_ROWS: usize = 50_000;
/// Columns of it that are read.
pub const TABLE_COLUMNS: u32 = 100;
/// Bytes of a table.
pub const TABLE_BYTES: usize = 20_000_000;
/// Bytes of a packed table once unpacked.
pub const TABLE_UNPACKED_BYTES: u64 = 200_000_000;
/// Files that a packed table may hold.
pub const TABLE_PARTS: usize = 2000;
/// Different texts of a packed table.
pub const TABLE_TEXTS: usize = 500_000;
/// Bytes of a projection or world file beside a grid or a picture.
pub const BESIDE_BYTES: u64 = 1_000_000;
/// Entries of a log that are taken in from one file.
pub const ENTRIES: usize = 50_000;
/// Attributes of one element of an XML file.
pub const ATTRIBUTES: usize = 5000;
/// Readings that a fault is looked for by.
pub const READINGS: usize = 40;
/// Bytes of memory that the drainage of a whole grid may take.
pub const DRAINAGE_BYTES: u64 = 3_000_000_000;
/// Points of all contour lines of a grid.
pub const CONTOUR_POINTS: u64 = 4_000_000;
/// Properties of one feature that this program does not know.
pub const FOREIGN_PROPERTIES: usize = 2000;
/// Paddocks of a plan.
pub const PADDOCKS: usize = 2000;
/// Gates of a plan; as many of each other thing that stands on a line.
pub const ON_LINES: usize = 5000;
/// Energizers of a plan.
pub const ENERGIZERS: usize = 30;
/// Earths of a plan; as many buildings.
pub const EARTHS: usize = 1000;
/// Letters of a found value in a message.
pub const SHOWN_LETTERS: usize = 60;
/// Letters of what another library says of it.
const SENTENCE_LETTERS: usize = 160;
/// Points of a picture in its file.
pub const PICTURE_POINTS: u64 = 4_000_000_000;
/// Points of a picture that can only be decoded whole.
pub const PICTURE_POINTS_WHOLE: u64 = 300_000_000;
/// Points of a picture that are kept to be shown; a larger one is made smaller while it is read.
pub const PICTURE_POINTS_KEPT: usize = 50_000_000;
/// Bytes of a plan, or of a file of another program.
pub const FILE_BYTES: u64 = 500_000_000;

/// As much of a found value as a message can show, on one line: longer ones end in an ellipsis.
pub fn shown(value: &str) -> String {
    cut(value, SHOWN_LETTERS)
}

/// As much of a sentence about something found as a message can show, on one line.
pub fn beginning(text: &str) -> String {
    cut(text, SENTENCE_LETTERS)
}

fn cut(text: &str, most: usize) -> String {
    let mut line = String::new();
    let mut letters = 0;
    // Word by word: a text of many megabytes is not walked to its end.
    for word in text.split_whitespace() {
        let gap = if line.is_empty() { "" } else { " " };
        for letter in gap.chars().chain(word.chars()) {
            if letters == most {
                line.push('…');
                return line;
            }
            line.push(letter);
            letters += 1;
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_found_value_is_cut_at_one_length_and_ends_in_an_ellipsis() {
        for (value, seen) in [
            ("", String::new()),
            (" a\n b ", "a b".to_owned()),
            (&"x".repeat(60), "x".repeat(60)),
            (&"x".repeat(61), format!("{}…", "x".repeat(60))),
            (&"ä ".repeat(100_000), format!("{}…", "ä ".repeat(30))),
        ] {
            assert_eq!(shown(value), seen);
        }
        assert_eq!(beginning(&"x".repeat(1000)).chars().count(), SENTENCE_LETTERS + 1);
    }
}
