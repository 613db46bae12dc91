//! Coordinate systems that a GeoTIFF describes itself instead of naming a code: put together as PROJJSON for PROJ.

use super::geokeys::{GeoKeys, USER_DEFINED, key};
use super::{GridError, crs};
use serde_json::{Value, json};

/// A parameter: its name and EPSG code, and the GeoKeys that may hold it, the usual one first.
type Parameter = (&'static str, u16, &'static [u16]);

/// GeoTIFF's number of a projection method, its EPSG name and code, and its parameters.
type Method = (u16, &'static str, u16, &'static [Parameter]);

const LATITUDE: Parameter = ("Latitude of natural origin", 8801, &[3081, 3085, 3089]);
const LONGITUDE: Parameter = ("Longitude of natural origin", 8802, &[3080, 3084, 3088]);
const SCALE: Parameter = ("Scale factor at natural origin", 8805, &[3092, 3093]);
const EASTING: Parameter = ("False easting", 8806, &[3082, 3086, 3090]);
const NORTHING: Parameter = ("False northing", 8807, &[3083, 3087, 3091]);
const FALSE_LATITUDE: Parameter = ("Latitude of false origin", 8821, &[3085, 3081, 3089]);
const FALSE_LONGITUDE: Parameter = ("Longitude of false origin", 8822, &[3084, 3080, 3088]);
const PARALLEL_1: Parameter = ("Latitude of 1st standard parallel", 8823, &[3078]);
const PARALLEL_2: Parameter = ("Latitude of 2nd standard parallel", 8824, &[3079]);
const FALSE_EASTING: Parameter = ("Easting at false origin", 8826, &[3086, 3082, 3090]);
const FALSE_NORTHING: Parameter = ("Northing at false origin", 8827, &[3087, 3083, 3091]);

const TWO_PARALLELS: &[Parameter] = &[FALSE_LATITUDE, FALSE_LONGITUDE, PARALLEL_1, PARALLEL_2, FALSE_EASTING, FALSE_NORTHING];

const METHODS: [Method; 4] = [
    (1, "Transverse Mercator", 9807, &[LATITUDE, LONGITUDE, SCALE, EASTING, NORTHING]),
    (8, "Lambert Conic Conformal (2SP)", 9802, TWO_PARALLELS),
    (9, "Lambert Conic Conformal (1SP)", 9801, &[LATITUDE, LONGITUDE, SCALE, EASTING, NORTHING]),
    (11, "Albers Equal Area", 9822, TWO_PARALLELS),
];

/// A projected system from its method and parameters, on the geodetic system that the keys name or describe.
pub(super) fn projected(keys: &GeoKeys) -> Result<String, GridError> {
    let base = base(keys)?;
    let conversion = conversion(keys)?;
    let axis = |name: &str, letter: &str, direction: &str| -> Result<Value, GridError> {
        Ok(json!({ "name": name, "abbreviation": letter, "direction": direction, "unit": linear_unit(keys)? }))
    };
    let system = json!({
        "type": "ProjectedCRS",
        "name": "described in the file",
        "base_crs": base,
        "conversion": conversion,
        "coordinate_system": {
            "subtype": "Cartesian",
            "axis": [axis("Easting", "E", "east")?, axis("Northing", "N", "north")?],
        },
    });
    Ok(system.to_string())
}

fn base(keys: &GeoKeys) -> Result<Value, GridError> {
    let definition = match keys.code(key::GEODETIC_CRS) {
        Some(code) if code != USER_DEFINED => format!("EPSG:{code}"),
        _ => geographic(keys)?,
    };
    let mut base = crs::projjson(&definition).ok_or_else(|| GridError::UnknownCrs { found: crs::shown(&definition) })?;
    if let Some(members) = base.as_object_mut() {
        members.remove("$schema");
    }
    Ok(base)
}

fn conversion(keys: &GeoKeys) -> Result<Value, GridError> {
    if let Some(zone) = keys.code(key::PROJECTION).filter(|code| *code != USER_DEFINED) {
        return utm(zone);
    }
    let method = keys.code(key::METHOD).ok_or_else(|| missing("no projection method"))?;
    let (_, name, code, parameters) =
        METHODS.iter().find(|known| known.0 == method).ok_or_else(|| missing(&format!("projection method {method}")))?;
    if keys.code(key::ANGULAR_UNIT).is_some_and(|unit| unit != 9102) {
        return Err(missing("angles that are not in degrees"));
    }
    let parameters = parameters.iter().map(|parameter| value(keys, parameter)).collect::<Result<Vec<_>, _>>()?;
    Ok(json!({
        "name": "described in the file",
        "method": { "name": name, "id": { "authority": "EPSG", "code": code } },
        "parameters": parameters,
    }))
}

fn value(keys: &GeoKeys, (name, code, places): &Parameter) -> Result<Value, GridError> {
    let found = places.iter().find_map(|place| keys.number(*place));
    let (default, unit) = match code {
        8805 => (Some(1.0), json!("unity")),
        8806 | 8807 | 8826 | 8827 => (Some(0.0), linear_unit(keys)?),
        _ => (None, json!("degree")),
    };
    let value = found.or(default).ok_or_else(|| missing(&format!("no \"{name}\"")))?;
    Ok(json!({ "name": name, "value": value, "unit": unit, "id": { "authority": "EPSG", "code": code } }))
}

/// EPSG's codes of the UTM zones as projections: 160zz in the north, 161zz in the south.
fn utm(code: u16) -> Result<Value, GridError> {
    let (zone, northing) = match code {
        16001..=16060 => (code - 16000, 0.0),
        16101..=16160 => (code - 16100, 10_000_000.0),
        _ => return Err(missing(&format!("projection {code}"))),
    };
    let parameter = |name: &str, code: u16, value: f64, unit: &str| json!({ "name": name, "value": value, "unit": unit, "id": { "authority": "EPSG", "code": code } });
    Ok(json!({
        "name": "UTM zone",
        "method": { "name": "Transverse Mercator", "id": { "authority": "EPSG", "code": 9807 } },
        "parameters": [
            parameter(LATITUDE.0, LATITUDE.1, 0.0, "degree"),
            parameter(LONGITUDE.0, LONGITUDE.1, f64::from(zone) * 6.0 - 183.0, "degree"),
            parameter(SCALE.0, SCALE.1, 0.9996, "unity"),
            parameter(EASTING.0, EASTING.1, 500_000.0, "metre"),
            parameter(NORTHING.0, NORTHING.1, northing, "metre"),
        ],
    }))
}

fn linear_unit(keys: &GeoKeys) -> Result<Value, GridError> {
    Ok(match keys.metres_per_coordinate()? {
        None => json!("metre"),
        Some(metres) if (metres - 1.0).abs() < 1e-12 => json!("metre"),
        Some(metres) => json!({ "type": "LinearUnit", "name": "unit of the file", "conversion_factor": metres }),
    })
}

/// Longitude and latitude on an ellipsoid that the keys describe, as a PROJ string.
pub(super) fn geographic(keys: &GeoKeys) -> Result<String, GridError> {
    let axes = match keys.number(key::SEMI_MAJOR) {
        Some(major) => match (keys.number(key::INVERSE_FLATTENING), keys.number(key::SEMI_MINOR)) {
            (Some(inverse), _) if inverse > 0.0 => format!("+a={major} +rf={inverse}"),
            (_, Some(minor)) => format!("+a={major} +b={minor}"),
            _ => format!("+a={major} +b={major}"),
        },
        None => match keys.code(key::ELLIPSOID) {
            Some(7030) => "+ellps=WGS84".to_owned(),
            Some(7019) => "+ellps=GRS80".to_owned(),
            Some(7001) => "+ellps=airy".to_owned(),
            Some(7004) => "+ellps=bessel".to_owned(),
            Some(7008) => "+ellps=clrk66".to_owned(),
            Some(7022) => "+ellps=intl".to_owned(),
            Some(7024) => "+ellps=krass".to_owned(),
            Some(other) => return Err(missing(&format!("ellipsoid {other}"))),
            None => return Err(missing("no ellipsoid")),
        },
    };
    Ok(format!("+proj=longlat {axes} +no_defs +type=crs"))
}

fn missing(found: &str) -> GridError {
    GridError::OwnProjection { found: found.to_owned() }
}
