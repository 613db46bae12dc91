//! Writes the sample maps into the folder named on the command line, `sample-maps` when none is.

use std::path::PathBuf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| "sample-maps".to_owned()));
    for sample in sample_maps::samples() {
        std::fs::write(folder.join(format!("{}.tif", sample.name)), sample.grid.to_geotiff()?)?;
        std::fs::write(folder.join(format!("{}.plan.geojson", sample.name)), &sample.plan)?;
        if let Some(rounds) = &sample.rounds {
            std::fs::write(folder.join(format!("{}-rounds.csv", sample.name)), rounds)?;
        }
    }
    Ok(())
}
