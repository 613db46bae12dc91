//! Whether a file for somebody else is whole and harmless, whatever names the plan holds: no script, no live link, nothing that opens by itself.

use flate2::read::ZlibDecoder;
use hillwire_core::share::read_sheet;
use roxmltree::{Document, ParsingOptions};
use std::io::Read;

/// What is wrong with it, if anything.
pub fn fault_of(ending: &str, bytes: &[u8]) -> Option<String> {
    match ending {
        "geojson" => serde_json::from_slice::<serde_json::Value>(bytes).err().map(|trouble| trouble.to_string()),
        "gpx" | "kml" | "svg" => fault_of_xml(&String::from_utf8_lossy(bytes)),
        "html" => fault_of_page(&String::from_utf8_lossy(bytes)),
        "csv" => fault_of_table(bytes),
        "pdf" => fault_of_sheets(bytes),
        "xlsx" => read_sheet(bytes).err().map(|trouble| trouble.to_string()),
        "png" => image::load_from_memory(bytes).err().map(|trouble| trouble.to_string()),
        other => Some(format!("nobody knows how to look at .{other}")),
    }
}

/// Well-formed, without a document type, scripts, handlers and links.
fn fault_of_xml(text: &str) -> Option<String> {
    let document = match Document::parse_with_options(text, ParsingOptions { allow_dtd: false, ..ParsingOptions::default() }) {
        Ok(document) => document,
        Err(trouble) => return Some(format!("it is no XML: {trouble}")),
    };
    document.descendants().find_map(|node| {
        let name = node.tag_name().name().to_lowercase();
        let is_live = ["script", "a", "iframe", "object", "embed", "foreignobject", "image", "link"].contains(&name.as_str());
        let attribute = node.attributes().find(|attribute| {
            let (name, value) = (attribute.name().to_lowercase(), attribute.value().trim_start().to_lowercase());
            name.starts_with("on") || name.ends_with("href") || name == "src" || value.starts_with("javascript:")
        });
        let attribute = attribute.map(|attribute| format!("<{name} {}={:?}>", attribute.name(), attribute.value()));
        if is_live { Some(format!("<{name}>")) } else { attribute }
    })
}

/// One script, which is the page's own; no element that the page does not have by itself, no handlers, no links.
fn fault_of_page(page: &str) -> Option<String> {
    const OWN: [&str; 28] = [
        "!doctype", "html", "head", "meta", "title", "style", "body", "main", "h1", "h2", "p", "div", "svg", "button", "ul",
        "li", "b", "span", "script", "g", "polyline", "polygon", "circle", "path", "rect", "text", "line", "br",
    ];
    let lower = page.to_lowercase();
    let (Some(from), Some(to)) = (lower.find("<script>"), lower.rfind("</script>")) else {
        return Some("its own script is gone".to_owned());
    };
    if lower.matches("<script").count() != 1 || lower.matches("</script").count() != 1 {
        return Some("more than its own script".to_owned());
    }
    if !lower.contains("content-security-policy\" content=\"default-src 'none'") {
        return Some("it may ask other places".to_owned());
    }
    let without_script = format!("{}{}", &lower[..from], &lower[to..]);
    let names = |tag: &str| {
        tag.trim_start_matches('/')
            .split(|c: char| c.is_whitespace() || c == '>' || c == '/')
            .next()
            .unwrap_or_default()
            .to_owned()
    };
    for tag in without_script.split('<').skip(1) {
        let name = names(tag);
        if !OWN.contains(&name.as_str()) {
            return Some(format!("an element of somebody else: <{name}>"));
        }
        let inside = tag.split('>').next().unwrap_or_default();
        // What stands in quotes is a value and no attribute.
        let attributes: Vec<&str> = inside.split('"').step_by(2).collect();
        let names = attributes.iter().flat_map(|part| part.split_whitespace()).filter_map(|word| word.split('=').next());
        if let Some(live) =
            names.into_iter().find(|name| name.starts_with("on") || ["href", "src", "srcset", "action"].contains(name))
        {
            return Some(format!("<{name} {live}>"));
        }
    }
    None
}

/// No cell that a spreadsheet would take for a formula.
fn fault_of_table(bytes: &[u8]) -> Option<String> {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(trouble) => return Some(trouble.to_string()),
    };
    let formula = cells_of(text)
        .into_iter()
        .find(|cell| cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err());
    formula.map(|cell| format!("a formula: {cell:?}"))
}

/// Cells between commas, quotes taken off.
fn cells_of(text: &str) -> Vec<String> {
    let (mut cells, mut cell, mut is_quoted) = (Vec::new(), String::new(), false);
    for c in text.chars() {
        match c {
            '"' => is_quoted = !is_quoted,
            ',' | '\n' if !is_quoted => cells.push(std::mem::take(&mut cell)),
            '\r' if !is_quoted => {}
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells
}

/// A whole PDF without actions, links, scripts and attachments, in its packed parts too.
fn fault_of_sheets(bytes: &[u8]) -> Option<String> {
    const LIVE: [&str; 12] = [
        "/URI",
        "/JavaScript",
        "/JS",
        "/Launch",
        "/OpenAction",
        "/AA",
        "/SubmitForm",
        "/GoToR",
        "/EmbeddedFile",
        "/RichMedia",
        "/Annots",
        "/AcroForm",
    ];
    if !bytes.starts_with(b"%PDF-") || !bytes.trim_ascii_end().ends_with(b"%%EOF") {
        return Some("it is no whole PDF".to_owned());
    }
    let mut objects = String::new();
    let mut rest = bytes;
    // Between streams stand objects; streams of objects hold further ones. Streams of drawing hold words, in which a name means nothing.
    while let Some(at) = find(rest, b"stream") {
        let before = String::from_utf8_lossy(&rest[..at]).into_owned();
        let is_objects = before.rsplit("obj").next().is_some_and(|head| head.contains("/ObjStm"));
        objects.push_str(&before);
        let body = rest[at + 6..].trim_ascii_start();
        if is_objects {
            let mut unpacked = Vec::new();
            if ZlibDecoder::new(body).read_to_end(&mut unpacked).is_err() {
                return Some("a packed part cannot be unpacked".to_owned());
            }
            objects.push_str(&String::from_utf8_lossy(&unpacked));
        }
        let Some(end) = find(body, b"endstream") else { return Some("a part does not end".to_owned()) };
        rest = &body[end + 9..];
    }
    objects.push_str(&String::from_utf8_lossy(rest));
    let objects = without_texts(&objects);
    LIVE.into_iter()
        .find(|name| {
            objects.match_indices(name).any(|(at, _)| !objects[at + name.len()..].starts_with(|c: char| c.is_alphanumeric()))
        })
        .map(str::to_owned)
}

fn find(bytes: &[u8], word: &[u8]) -> Option<usize> {
    bytes.windows(word.len()).position(|window| window == word)
}

/// PDF objects without what stands in their texts.
fn without_texts(objects: &str) -> String {
    let (mut bare, mut depth, mut is_escaped) = (String::new(), 0_usize, false);
    for c in objects.chars() {
        match c {
            _ if is_escaped => is_escaped = false,
            '\\' if depth > 0 => is_escaped = true,
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            c if depth == 0 => bare.push(c),
            _ => {}
        }
    }
    bare
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_harmless_is_seen() {
        let page = |inside: &str| {
            format!(
                "<!doctype html><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'\"><p>{inside}</p><script>\n1 < 2\n</script>"
            )
        };
        let sheets = |object: &str| format!("%PDF-1.7\n1 0 obj <</Title (a \\) /URI b) {object}>> endobj\n%%EOF\n");
        let rows = [
            ("svg", "<svg><script/></svg>".to_owned(), true),
            ("svg", "<svg><text onclick='x'/></svg>".to_owned(), true),
            ("kml", "<kml><name><a href='http://x'/></name></kml>".to_owned(), true),
            ("gpx", "<gpx><name>a & b</name></gpx>".to_owned(), true),
            ("gpx", "<gpx><name>a &amp; &lt;script&gt;</name></gpx>".to_owned(), false),
            ("html", page("&lt;img src=x onerror=alert(1)&gt;"), false),
            ("html", page("<b title=\"a href=x\">"), false),
            ("html", page("<img src=x>"), true),
            ("html", page("<b onclick=x>"), true),
            ("html", page("<script>x</script>"), true),
            ("csv", "a,-1.5,'=1+1\r\n\"b, c\",d".to_owned(), false),
            ("csv", "a,\"=1+1\"\r\n".to_owned(), true),
            ("pdf", sheets(""), false),
            ("pdf", sheets("/A <</S /URI>>"), true),
            ("pdf", sheets("/OpenAction 3 0 R"), true),
            ("geojson", "{\"a\":}".to_owned(), true),
        ];
        for (ending, text, is_live) in rows {
            let fault = fault_of(ending, text.as_bytes());
            assert_eq!(fault.is_some(), is_live, "{ending}: {text}: {fault:?}");
        }
    }
}
