//! The plan and its results as files for others: bytes out.

mod geojson;
mod order_csv;
mod section_signs;
mod section_svg;
mod svg;

pub use geojson::geojson;
pub use order_csv::order_csv;
pub use section_signs::SectionSign;
pub use section_svg::{FoundPlace, SectionPicture, SectionWords, section_svg};
