//! The grid as a GeoTIFF: 32-bit floats in centimetre steps, deflate, strips, a real UTM zone by its EPSG code.

use std::io::Cursor;
use tiff::encoder::{Compression, DeflateLevel, TiffEncoder, colortype::Gray32Float};
use tiff::tags::Tag;

/// Heights on square cells, north row first, with the outer corner of the grid in a map projection.
pub struct Heights {
    /// EPSG code of the projection.
    pub epsg: u16,
    /// Easting of the western edge.
    pub west_m: f64,
    /// Northing of the northern edge.
    pub north_m: f64,
    /// Width of a cell.
    pub cell_m: f64,
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Heights, row by row from the north.
    pub heights_m: Vec<f64>,
}

/// What a cell without a height would hold.
const VOID: &str = "-9999";

impl Heights {
    /// The bytes of the file.
    ///
    /// # Errors
    /// Those of the TIFF encoder.
    pub fn to_geotiff(&self) -> Result<Vec<u8>, tiff::TiffError> {
        let mut bytes = Cursor::new(Vec::new());
        let mut encoder = TiffEncoder::new(&mut bytes)?.with_compression(Compression::Deflate(DeflateLevel::Best));
        let mut image = encoder.new_image::<Gray32Float>(self.columns as u32, self.rows as u32)?;
        image.rows_per_strip(64)?;
        // GeoTIFF 1.1: model type projected, cells are areas, heights in metres, the projection by its code.
        let keys = [1, 1, 0, 4, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, self.epsg, 3076, 0, 1, 9001];
        let directory = image.encoder();
        directory.write_tag(Tag::ModelPixelScaleTag, &[self.cell_m, self.cell_m, 0.0][..])?;
        directory.write_tag(Tag::ModelTiepointTag, &[0.0, 0.0, 0.0, self.west_m, self.north_m, 0.0][..])?;
        directory.write_tag(Tag::GeoKeyDirectoryTag, &keys[..])?;
        directory.write_tag(Tag::GdalNodata, VOID)?;
        let rounded: Vec<f32> = self.heights_m.iter().map(|height| ((height * 100.0).round() / 100.0) as f32).collect();
        image.write_data(&rounded)?;
        Ok(bytes.into_inner())
    }
}
