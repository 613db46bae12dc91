//! Files that once failed and are too large to keep: made when they are asked for.

use crate::packed::{Lies, workbook, zip};

/// The bytes of a file of this name.
pub fn made(name: &str) -> Option<Vec<u8>> {
    Some(match name {
        // 300 MB of words that the list of parts calls a thousand bytes.
        "lying-size.xlsx" => {
            let mut parts = workbook(&[vec!["id", "price of one"], vec!["t-post", "4"]]);
            let words = parts.iter().position(|part| part.name == "xl/sharedStrings.xml")?;
            let text = String::from_utf8_lossy(&parts[words].bytes).replace("t-post", &"a".repeat(300_000_000));
            parts[words].bytes = text.into_bytes();
            zip(&parts, &[(words, Lies { unpacked: Some(1000), ..Lies::default() })])
        }
        "deep.plan.geojson" => format!("{{\"hillwire\":{}{}}}", "[".repeat(100_000), "]".repeat(100_000)).into_bytes(),
        "deep.kml" => {
            format!("<kml>{}{}</kml>", "<MultiGeometry>".repeat(100_000), "</MultiGeometry>".repeat(100_000)).into_bytes()
        }
        "attributes.gpx" => {
            let many: String = (0..200_000).map(|number| format!(" a{number}=\"\"")).collect();
            format!("<gpx version=\"1.1\"><wpt lat=\"50\" lon=\"1\"{many}/></gpx>").into_bytes()
        }
        "nothing-there.tif" => void_grid(20_000),
        // Two rows, and words that no cell has: three million of them pack into some kilobytes.
        "many-texts.xlsx" => {
            let mut parts = workbook(&[vec!["id", "price of one"], vec!["t-post", "4"]]);
            let words = parts.iter().position(|part| part.name == "xl/sharedStrings.xml")?;
            let text = String::from_utf8_lossy(&parts[words].bytes)
                .replace("</sst>", &("<si><t>a</t></si>".repeat(3_000_000) + "</sst>"));
            parts[words].bytes = text.into_bytes();
            zip(&parts, &[])
        }
        // A corner three degrees away: less than makes a plan impossible, more than any holding fences.
        "long-fence.plan.geojson" => {
            let farm = include_str!("../seeds/farm.plan.geojson");
            farm.replacen("-2.9992", "-5.9984", 1).into_bytes()
        }
        "many-marks.plan.geojson" => many_marks(2000),
        "many-paddocks.plan.geojson" => farm_with(20_000, r#""kind":"paddock","stock":"ewes""#),
        "many-alike.plan.geojson" => farm_with(1800, r#""kind":"paddock","stock":"ewes""#),
        "many-gates.plan.geojson" => farm_with(20_000, r#""kind":"gate","width_m":3"#),
        "many-earths.plan.geojson" => farm_with(20_000, r#""kind":"earth","rods":3"#),
        "many-energizers.plan.geojson" => farm_with(100, r#""kind":"energizer","model":"field""#),
        "many-properties.plan.geojson" => {
            let many: String = (0..100_000).map(|number| format!(r#""k{number}":{number},"#)).collect();
            let farm = include_str!("../seeds/farm.plan.geojson");
            farm.replacen(r#""kind":"fence","name":"Pen","#, &format!(r#""kind":"fence",{many}"name":"Pen","#), 1).into_bytes()
        }
        "net.plan.geojson" => net(30),
        _ => return None,
    })
}

/// A square paddock with so many paddock marks in it.
fn many_marks(count: usize) -> Vec<u8> {
    let mark = |k: usize| {
        let (east, north) = (-3.0009 + 1e-5 * (k % 60) as f64, 54.9997 + 1e-5 * (k / 60) as f64);
        format!(
            r#"{{"type":"Feature","id":"m{k}","properties":{{"kind":"paddock"}},"geometry":{{"type":"Point","coordinates":[{east:.6},{north:.6}]}}}}"#
        )
    };
    let fence = r#"{"type":"Feature","id":"pen","properties":{"kind":"fence","build":"a"},"geometry":{"type":"LineString","coordinates":[[-3.001,54.9996],[-3.0001,54.9996],[-3.0001,55.0003],[-3.001,55.0003],[-3.001,54.9996]]}}"#;
    let marks: Vec<String> = (0..count).map(mark).collect();
    let head = r#"{"version":1,"elevation":[{"file":"farm.asc"}],"builds":[{"id":"a","strands":[{"height_m":0.5,"wire":"ht-14ga","live":true}],"line_post":"t-post","corner_post":"wood-150","max_bay_m":8,"tension_n":450}]}"#;
    format!(r#"{{"type":"FeatureCollection","hillwire":{head},"features":[{fence},{}]}}"#, marks.join(",")).into_bytes()
}

/// The farm with more features before its own.
fn farm_and(more: &str) -> Vec<u8> {
    let farm = include_str!("../seeds/farm.plan.geojson");
    farm.replacen(
        r#""features":[
{"#,
        &format!(
            r#""features":[
{more}
{{"#
        ),
        1,
    )
    .into_bytes()
}

/// The farm with so many points of these properties in its eastern paddock, a hand apart.
fn farm_with(count: usize, properties: &str) -> Vec<u8> {
    let point = |k: usize| {
        let (east, north) = (-2.9998 + 1e-6 * (k % 500) as f64, 54.9998 + 1e-6 * (k / 500) as f64);
        format!(
            r#"{{"type":"Feature","id":"m{k}","properties":{{{properties}}},"geometry":{{"type":"Point","coordinates":[{east:.7},{north:.7}]}}}},"#
        )
    };
    farm_and(&(0..count).map(point).collect::<String>())
}

/// The farm with so many lines from west to east and as many from south to north, a step apart: each crosses all of the others.
fn net(count: usize) -> Vec<u8> {
    let line = |id: String, from: (f64, f64), to: (f64, f64)| {
        let [from, to] = [from, to].map(|(east, north)| format!("[{east:.6},{north:.6}]"));
        format!(
            r#"{{"type":"Feature","id":"{id}","properties":{{"kind":"fence","build":"pig-2"}},"geometry":{{"type":"LineString","coordinates":[{from},{to}]}}}},"#
        )
    };
    let (west, south, step) = (-3.0011, 54.9995, 1.5e-5);
    let far = step * (count + 1) as f64;
    let along = |k: usize| step * (k + 1) as f64;
    let lines = (0..count).flat_map(|k| {
        let (east, north) = (west + along(k), south + along(k));
        [line(format!("h{k}"), (west, north), (west + far, north)), line(format!("v{k}"), (east, south), (east, south + far))]
    });
    farm_and(&lines.collect::<String>())
}

/// A GeoTIFF of so many columns and rows, none of whose cells are in the file, as a sparse one may leave out those that are void.
fn void_grid(side: u32) -> Vec<u8> {
    let doubles: [f64; 9] = [1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 500_000.0, 5_500_000.0, 0.0];
    let keys: [u16; 12] = [1, 1, 0, 2, 1024, 0, 1, 1, 3072, 0, 1, 32630];
    // Tag, type (3: 16 bits, 4: 32 bits, 12: 64 bits with a point), count and value or place; places count from the end of the list.
    let (short, long, double) = (3_u16, 4_u16, 12_u16);
    let entries: [(u16, u16, u32, u32); 13] = [
        (256, long, 1, side),
        (257, long, 1, side),
        (258, short, 1, 32),
        (259, short, 1, 8),
        (262, short, 1, 1),
        (273, long, 1, 0),
        (277, short, 1, 1),
        (278, long, 1, side),
        (279, long, 1, 0),
        (339, short, 1, 3),
        (33550, double, 3, 0),
        (33922, double, 6, 24),
        (34735, short, 12, 72),
    ];
    let end = (8 + 2 + entries.len() * 12 + 4) as u32;
    let mut file = b"II*\0\x08\0\0\0".to_vec();
    file.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        let value = if tag > 30_000 { end + value } else { value };
        file.extend(tag.to_le_bytes().into_iter().chain(kind.to_le_bytes()));
        file.extend(count.to_le_bytes().into_iter().chain(value.to_le_bytes()));
    }
    file.extend([0; 4]);
    doubles.iter().for_each(|number| file.extend(number.to_le_bytes()));
    keys.iter().for_each(|key| file.extend(key.to_le_bytes()));
    file
}
