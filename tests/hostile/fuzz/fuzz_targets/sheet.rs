//! Any bytes as a table: what was written on a round.
#![no_main]

use hillwire_core::log::written_of_rows;
use hillwire_core::share::read_sheet;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(rows) = read_sheet(bytes) {
        let _ = written_of_rows(&rows);
    }
});
