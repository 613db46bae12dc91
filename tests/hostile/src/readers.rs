//! The readers, each with how its files are spoiled and how one of them is read. One file per sort.

mod grids;
mod photos;
mod plan;
mod tables;
mod walked;

use crate::chance::Chance;
use crate::desk::{Desk, Ended};
use std::path::Path;

/// Files of one case, the one that is read first; the others lie beside it.
pub type Files = Vec<(String, Vec<u8>)>;

/// One of the doors through which files come in.
pub struct Reader {
    /// Its name on the command line and in the campaign.
    pub name: &'static str,
    /// Makes the files of a case.
    pub spoil: fn(&mut Chance) -> Files,
    /// Reads the file, and does with it what the program does.
    pub read: fn(&Desk, &Path, &mut Chance) -> Ended,
}

/// All of them, the slowest first.
pub const READERS: [Reader; 13] = [
    Reader { name: "plan", spoil: plan::spoil, read: plan::read },
    Reader { name: "readings", spoil: tables::spoil_readings, read: tables::read_readings },
    Reader { name: "geotiff", spoil: grids::spoil_geotiff, read: grids::read },
    Reader { name: "text-grid", spoil: grids::spoil_text, read: grids::read },
    Reader { name: "gpx", spoil: walked::spoil_gpx, read: walked::read },
    Reader { name: "kml", spoil: walked::spoil_kml, read: walked::read },
    Reader { name: "geojson", spoil: walked::spoil_geojson, read: walked::read },
    Reader { name: "round-csv", spoil: tables::spoil_round_csv, read: tables::read_round },
    Reader { name: "round-xlsx", spoil: tables::spoil_round_xlsx, read: tables::read_round },
    Reader { name: "prices-csv", spoil: tables::spoil_prices_csv, read: tables::read_prices },
    Reader { name: "prices-xlsx", spoil: tables::spoil_prices_xlsx, read: tables::read_prices },
    Reader { name: "png", spoil: photos::spoil_png, read: photos::read },
    Reader { name: "jpeg", spoil: photos::spoil_jpeg, read: photos::read },
];

/// A file's name, as messages show it.
fn name_of(path: &Path) -> String {
    path.display().to_string()
}
