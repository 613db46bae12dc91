//! Any bytes as a plan or as GeoJSON: what is read is written and read again the same.
#![no_main]

use hillwire_core::plan::{Opened, read_plan, write_plan};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    match read_plan("any", bytes) {
        Ok(Opened::Plan(plan, _)) => {
            let written = write_plan(&plan);
            match read_plan("again", &written) {
                Ok(Opened::Plan(again, _)) => assert!(again == plan && write_plan(&again) == written),
                other => panic!("{other:?}"),
            }
        }
        Ok(Opened::Import(..)) => {}
        Err(trouble) => assert!(!trouble.found.is_empty() && !trouble.allowed.is_empty()),
    }
});
