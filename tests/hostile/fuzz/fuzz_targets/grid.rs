//! Any bytes as an elevation grid; the first one says whether a projection file lies beside it.
#![no_main]

use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, is_picture, read_grid};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Some((first, bytes)) = bytes.split_first() else { return };
    let prj = (first % 2 == 1).then_some("EPSG:32630");
    let _ = is_picture(&bytes);
    if let Ok(grid) = read_grid(&GridFile { name: "any", bytes: &bytes, prj }, &Job::new()) {
        assert_eq!(grid.heights_m.len(), grid.columns * grid.rows);
        assert!(grid.heights_m.iter().all(|height| !height.is_infinite()));
    }
});
