//! Any bytes as GPX or KML, drawn and as waypoints.
#![no_main]

use hillwire_core::plan::{read_walked, read_waypoints};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let _ = read_walked("any", bytes);
    let _ = read_waypoints("any", bytes);
});
