//! What the GeoKeys of a GeoTIFF say (OGC 19-008r4): the coordinate system, the units, what a pixel stands for.

use super::crs::{self, Described};
use super::{GridError, own_crs};
use crate::units::{FOOT_M, US_SURVEY_FOOT_M};
use std::collections::BTreeMap;

/// Keys by number.
#[derive(Debug, Default)]
pub(super) struct GeoKeys(BTreeMap<u16, KeyValue>);

#[derive(Debug)]
enum KeyValue {
    Short(u16),
    Double(f64),
    Text(String),
}

/// Numbers of the keys that we read.
pub(super) mod key {
    pub const MODEL_TYPE: u16 = 1024;
    pub const RASTER_TYPE: u16 = 1025;
    pub const GEODETIC_CRS: u16 = 2048;
    pub const ANGULAR_UNIT: u16 = 2054;
    pub const ELLIPSOID: u16 = 2056;
    pub const SEMI_MAJOR: u16 = 2057;
    pub const SEMI_MINOR: u16 = 2058;
    pub const INVERSE_FLATTENING: u16 = 2059;
    pub const PROJECTED_CRS: u16 = 3072;
    pub const CITATION: u16 = 1026;
    pub const GEODETIC_CITATION: u16 = 2049;
    pub const PROJECTED_CITATION: u16 = 3073;
    pub const PROJECTION: u16 = 3074;
    pub const METHOD: u16 = 3075;
    pub const LINEAR_UNIT: u16 = 3076;
    pub const LINEAR_UNIT_SIZE: u16 = 3077;
    pub const VERTICAL_CRS: u16 = 4096;
    pub const VERTICAL_UNIT: u16 = 4099;
}

/// The value that means "described by further keys".
pub(super) const USER_DEFINED: u16 = 32767;

impl GeoKeys {
    /// From the three tags; entries that point outside of them are left out.
    pub(super) fn parse(directory: &[u16], doubles: &[f64], ascii: &str) -> Self {
        let entries = directory.get(4..).unwrap_or_default().as_chunks::<4>().0;
        let value = |[_, tag, count, value]: &[u16; 4]| match tag {
            0 => Some(KeyValue::Short(*value)),
            34736 => doubles.get(usize::from(*value)).copied().map(KeyValue::Double),
            34737 => {
                let (from, count) = (usize::from(*value), usize::from(*count));
                let text = ascii.get(from..(from + count).min(ascii.len()))?;
                Some(KeyValue::Text(text.trim_end_matches(['|', '\0']).to_owned()))
            }
            _ => None,
        };
        Self(entries.iter().filter_map(|entry| Some((entry[0], value(entry)?))).collect())
    }

    /// A code; `None` when absent or "undefined" (0).
    pub(super) fn code(&self, key: u16) -> Option<u16> {
        match self.0.get(&key)? {
            KeyValue::Short(code) if *code != 0 => Some(*code),
            _ => None,
        }
    }

    /// A number.
    pub(super) fn number(&self, key: u16) -> Option<f64> {
        match self.0.get(&key)? {
            KeyValue::Double(number) => Some(*number),
            KeyValue::Short(number) => Some(f64::from(*number)),
            KeyValue::Text(_) => None,
        }
    }

    fn text(&self, key: u16) -> Option<&str> {
        match self.0.get(&key)? {
            KeyValue::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Whether coordinates belong to the middle of a cell (PixelIsPoint) instead of its corner.
    pub(super) fn pixel_is_point(&self) -> bool {
        self.code(key::RASTER_TYPE) == Some(2)
    }

    /// The coordinate system; `Ok(None)` when the keys name none.
    pub(super) fn crs(&self) -> Result<Option<Described>, GridError> {
        let projected = self.code(key::PROJECTED_CRS);
        let geodetic = self.code(key::GEODETIC_CRS);
        match self.code(key::MODEL_TYPE) {
            Some(3) => Err(GridError::CrsKind {
                found: geodetic
                    .filter(|code| *code != USER_DEFINED)
                    .map_or_else(|| "model type 3".to_owned(), |code| format!("EPSG:{code}")),
                kind: "geocentric (X, Y, Z from the Earth's centre)",
            }),
            Some(2) => self.geodetic(geodetic),
            Some(USER_DEFINED) => self.cited().transpose(),
            _ => match projected {
                Some(USER_DEFINED) => self.own(own_crs::projected).map(Some),
                Some(code) => by_code(code).map(Some),
                None => self.geodetic(geodetic.filter(|_| self.code(key::MODEL_TYPE).is_none())),
            },
        }
    }

    fn geodetic(&self, code: Option<u16>) -> Result<Option<Described>, GridError> {
        match code {
            Some(USER_DEFINED) => self.own(own_crs::geographic).map(Some),
            Some(code) => by_code(code).map(Some),
            None => Ok(None),
        }
    }

    /// A system without a code: as WKT in a citation, else put together from keys.
    fn own(&self, put_together: fn(&Self) -> Result<String, GridError>) -> Result<Described, GridError> {
        self.cited().unwrap_or_else(|| crs::describe(&put_together(self)?, "described by the file itself"))
    }

    /// Some writers put the whole system as WKT into a citation.
    fn cited(&self) -> Option<Result<Described, GridError>> {
        let citations = [key::CITATION, key::PROJECTED_CITATION, key::GEODETIC_CITATION];
        let (_, wkt) = citations.iter().find_map(|key| self.text(*key)?.split_once("ESRI PE String = "))?;
        Some(crs::of_projection_file(wkt))
    }

    /// Metres in one unit of the coordinates, if a key says.
    pub(super) fn metres_per_coordinate(&self) -> Result<Option<f64>, GridError> {
        match self.code(key::LINEAR_UNIT) {
            None => Ok(None),
            Some(USER_DEFINED) => Ok(self.number(key::LINEAR_UNIT_SIZE)),
            Some(code) => length_unit_m("coordinates", code).map(Some),
        }
    }

    /// Metres in one unit of height, if a key says.
    pub(super) fn metres_per_height(&self) -> Result<Option<f64>, GridError> {
        if let Some(code) = self.code(key::VERTICAL_UNIT) {
            return length_unit_m("heights", code).map(Some);
        }
        Ok(self.code(key::VERTICAL_CRS).filter(|code| *code != USER_DEFINED).and_then(crs::metres_per_height))
    }
}

fn by_code(code: u16) -> Result<Described, GridError> {
    let name = format!("EPSG:{code}");
    crs::describe(&name, &name)
}

/// Metres in a unit of length by its EPSG code.
fn length_unit_m(of: &'static str, code: u16) -> Result<f64, GridError> {
    match code {
        9001 => Ok(1.0),
        9002 => Ok(FOOT_M),
        9003 => Ok(US_SURVEY_FOOT_M),
        _ => Err(GridError::Unit { of, found: u32::from(code) }),
    }
}
