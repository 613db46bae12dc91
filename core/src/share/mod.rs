//! The plan and its results as files for others: bytes out.

mod geojson;
mod order_csv;

pub use geojson::geojson;
pub use order_csv::order_csv;
