//! Map files for phones and other programs, held against the schema of their standard by other people's validators: KML 2.2 (OGC
//! 07-147r2, its schema as fastkml carries it, checked by libxml2), GPX 1.1 (the `gpx` package's rules of that schema).

use crate::desk::Desk;
use crate::others::python;

/// One line for each file: whether it is valid, then the first complaints.
const KML: &str = "import pathlib, sys, fastkml\n\
from lxml import etree\n\
schema = etree.XMLSchema(etree.parse(str(pathlib.Path(fastkml.__file__).parent / 'schema' / 'ogckml22.xsd')))\n\
for name in sys.argv[1:]:\n\
\x20   print(schema.validate(etree.parse(name)), list(schema.error_log)[:3])";
const GPX: &str = "import pathlib, sys, gpx\n\
for name in sys.argv[1:]:\n\
\x20   found = gpx.validate(pathlib.Path(name))\n\
\x20   print(found.is_valid, [str(issue) for issue in found.issues][:3])";

/// The first word of each line, and the whole for the message.
fn verdicts(told: &str) -> Vec<(&str, &str)> {
    told.lines().map(|line| (line.split(' ').next().unwrap_or_default(), line)).collect()
}

fn check(module: &str, lines: &str, desk: &Desk, names: &[&str], broken: (&str, &str)) {
    let text = String::from_utf8(desk.read(names[0])).expect("a text");
    let spoilt = text.replacen(broken.0, broken.1, 1);
    assert_ne!(text, spoilt, "{} has no {}", names[0], broken.0);
    desk.write("spoilt", &spoilt);
    let paths: Vec<String> = names.iter().chain(&["spoilt"]).map(|name| desk.path(name).display().to_string()).collect();
    let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
    let Some(told) = python(module, lines, &paths) else { return };
    let verdicts = verdicts(&told);
    assert_eq!(verdicts.len(), paths.len(), "{told}");
    for (name, (verdict, line)) in names.iter().zip(&verdicts) {
        assert_eq!(*verdict, "True", "{name}: {line}");
    }
    assert_eq!(verdicts[names.len()].0, "False", "a spoilt file is called valid");
}

#[test]
fn what_goes_to_phones_and_other_programs_keeps_to_the_schema_of_its_standard() {
    let desk = Desk::new();
    let sample = String::from_utf8(desk.read("brackenhope.plan.geojson")).expect("a text");
    // Names may hold anything, also what no XML file may.
    desk.write("odd.plan.geojson", sample.replace(r#""name":""#, r#""name":"<b>&amp; ]]> \"\u0001\u000b\ufffe\n'"#));
    let mut names = Vec::new();
    for sample in ["brackenhope", "larkfold", "odd"] {
        for recipient in ["keeper", "neighbour", "contractor", "round"] {
            for format in ["kml", "gpx"] {
                let name = format!("{sample}-{recipient}.{format}");
                assert_eq!(desk.run(&format!("share {sample}.plan.geojson {name} --for {recipient}")).status, 0);
                names.push(name);
            }
        }
        assert_eq!(desk.run(&format!("round {sample}.plan.geojson --gpx {sample}-way.gpx")).status, 0);
        names.push(format!("{sample}-way.gpx"));
    }
    let of = |end: &str| names.iter().map(String::as_str).filter(|name| name.ends_with(end)).collect::<Vec<_>>();
    check("fastkml, lxml", KML, &desk, &of("kml"), ("</Placemark>", "<Placemark/></Placemark>"));
    check("gpx", GPX, &desk, &of("gpx"), ("<name>", "<sort/><name>"));
}
