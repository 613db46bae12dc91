//! The plan and its results as files for others: bytes out.

mod geojson;
mod order_csv;
mod order_table;
mod order_xlsx;
mod recipient;
mod section_signs;
mod section_svg;
mod sheet;
mod svg;

pub use geojson::geojson;
pub use order_csv::order_csv;
pub use order_xlsx::{WorkWords, order_xlsx};
pub use recipient::{Part, Recipient};
pub use section_signs::SectionSign;
pub use section_svg::{FoundPlace, SectionPicture, SectionWords, section_svg};
pub use sheet::{SheetTrouble, read_sheet};
