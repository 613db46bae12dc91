//! A drawing as SVG.

use super::cleaned::cleaned;
use super::drawing::{Anchor, Drawing, Pen, Place, Shape, Size};
use std::fmt::Write;

/// Millimetres to a printer's point.
const MM_PER_POINT: f64 = 25.4 / 72.0;

impl Drawing {
    /// The drawing as SVG.
    pub fn to_svg(&self) -> Vec<u8> {
        let (width, height) = (self.width, self.height);
        let size = match self.size {
            Size::Screen => format!("width=\"{width:.0}\" height=\"{height:.0}\" viewBox=\"0 0 {width:.0} {height:.0}\""),
            Size::Paper => format!(
                "width=\"{:.2}mm\" height=\"{:.2}mm\" viewBox=\"0 0 {width:.2} {height:.2}\"",
                width * MM_PER_POINT,
                height * MM_PER_POINT
            ),
        };
        let mut text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" {size} font-family=\"Lato, sans-serif\">\n<title>{}</title>\n\
             <rect width=\"100%\" height=\"100%\" fill=\"{}\"/>\n",
            escaped(&self.title),
            self.paper
        );
        self.shapes.iter().for_each(|shape| write_shape(&mut text, shape));
        text.push_str("</svg>\n");
        text.into_bytes()
    }
}

/// The attribute for the dashes of a pen, made longer by a factor.
pub(super) fn dashes(pen: Pen, factor: f64) -> String {
    let parts: Vec<String> = pen.dashes.iter().map(|part| short(part * factor).to_string()).collect();
    if parts.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", parts.join(" ")) }
}

pub(super) fn write_shape(text: &mut String, shape: &Shape) {
    // Writing to a string does not fail.
    let _ = match shape {
        Shape::Line(places, pen) => {
            let dashes = dashes(*pen, 1.0);
            writeln!(
                text,
                "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dashes}/>",
                listed(places),
                pen.ink,
                short(pen.width)
            )
        }
        Shape::Area(places, fill, opacity) => {
            writeln!(text, "<polygon points=\"{}\" fill=\"{fill}\" fill-opacity=\"{opacity}\"/>", listed(places))
        }
        Shape::Disc((x, y), radius, fill) => {
            writeln!(text, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{}\" fill=\"{fill}\"/>", short(*radius))
        }
        Shape::Ring((x, y), radius, pen) => writeln!(
            text,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>",
            short(*radius),
            pen.ink,
            short(pen.width)
        ),
        Shape::Words((x, y), words, how) => {
            let anchor = match how.anchor {
                Anchor::Start => "start",
                Anchor::Middle => "middle",
                Anchor::End => "end",
            };
            let bold = if how.bold { " font-weight=\"700\"" } else { "" };
            writeln!(
                text,
                "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{}\" fill=\"{}\" text-anchor=\"{anchor}\"{bold}>{}</text>",
                short(how.size),
                how.ink,
                escaped(words)
            )
        }
    };
}

/// A number without needless digits.
fn short(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}

fn listed(places: &[Place]) -> String {
    let mut text = String::with_capacity(places.len() * 12);
    for (x, y) in places {
        let _ = write!(text, "{x:.1},{y:.1} ");
    }
    text.truncate(text.trim_end().len());
    text
}

/// As XML wants it; characters that XML forbids, and what no eye sees, are left out.
pub(super) fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in cleaned(words).chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\'' => text.push_str("&#39;"),
            '\t' | '\n' => text.push(' '),
            other => text.push(other),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::super::drawing::Type;
    use super::*;

    #[test]
    fn whatever_somebody_calls_a_line_the_picture_stays_xml() {
        let mut drawing = Drawing::new(10.0, 10.0, "#fff", "a < b & \"c\"\u{1}");
        drawing.words((1.0, 2.0), "5 > 4\n\u{0}", Type { size: 9.0, ink: "#000", anchor: Anchor::Start, bold: false });
        let text = String::from_utf8(drawing.to_svg()).expect("UTF-8");
        assert!(text.contains("<title>a &lt; b &amp; &quot;c&quot;</title>") && text.contains(">5 &gt; 4 </text>"), "{text}");
    }
}
