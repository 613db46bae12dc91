//! The plan and its results as files for others: bytes out.

mod clip;
mod drawing;
mod geojson;
mod html;
mod letters;
mod map_ground;
mod map_marks;
mod map_sheet;
mod order_csv;
mod order_table;
mod order_xlsx;
mod pdf;
mod recipient;
mod round_gpx;
mod section_signs;
mod section_svg;
mod sheet;
mod sheet_paper;
mod shown;
mod signs;
mod svg;
mod xml_maps;

pub use drawing::Drawing;
pub use geojson::geojson;
pub use html::{PageWords, html};
pub use map_sheet::{MapSheet, MapTrouble, MapWords, map_sheet};
pub use order_csv::order_csv;
pub use order_xlsx::{WorkWords, order_xlsx};
pub use pdf::{PdfTrouble, pdf};
pub use recipient::{Part, Recipient};
pub use round_gpx::{NamedStop, round_gpx};
pub use section_signs::SectionSign;
pub use section_svg::{FoundPlace, SectionPaper, SectionPicture, SectionWords, section_drawing, section_svg};
pub use sheet::{SheetTrouble, read_sheet};
pub use sheet_paper::{Column, Paper, TableSheet, fitted_sheet, table_sheets};
pub use xml_maps::{gpx, kml};
