//! Writing an SVG picture: shapes and text in points from the top left corner.

use std::fmt::Write;

/// A picture under the pen.
pub(super) struct Svg {
    text: String,
}

/// What a line is drawn with.
#[derive(Clone, Copy)]
pub(super) struct Pen {
    pub ink: &'static str,
    pub width: f64,
    pub dashed: bool,
}

/// Where a text stands on its place.
#[derive(Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is written.
#[derive(Clone, Copy)]
pub(super) struct Type {
    pub size: f64,
    pub ink: &'static str,
    pub anchor: Anchor,
    pub bold: bool,
}

pub(super) type Place = (f64, f64);

impl Pen {
    pub const fn of(ink: &'static str, width: f64) -> Self {
        Self { ink, width, dashed: false }
    }
}

impl Svg {
    /// Nothing drawn yet on paper of this colour; `title` is what is read aloud.
    pub fn new(width: f64, height: f64, paper: &str, title: &str) -> Self {
        let mut text = String::new();
        let _ = write!(
            text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" viewBox=\"0 0 {width:.0} {height:.0}\" \
             font-family=\"Lato, sans-serif\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"{paper}\"/>\n",
            escaped(title)
        );
        Self { text }
    }

    pub fn line(&mut self, places: &[Place], pen: Pen) {
        if places.len() > 1 {
            let dashes = if pen.dashed { " stroke-dasharray=\"5 4\"" } else { "" };
            let _ = writeln!(
                self.text,
                "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dashes}/>",
                listed(places),
                pen.ink,
                pen.width
            );
        }
    }

    pub fn area(&mut self, places: &[Place], fill: &str, opacity: f64) {
        if places.len() > 2 {
            let _ = writeln!(self.text, "<polygon points=\"{}\" fill=\"{fill}\" fill-opacity=\"{opacity}\"/>", listed(places));
        }
    }

    pub fn disc(&mut self, (x, y): Place, radius: f64, fill: &str) {
        let _ = writeln!(self.text, "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"{fill}\"/>");
    }

    pub fn ring(&mut self, (x, y): Place, radius: f64, pen: Pen) {
        let _ = writeln!(
            self.text,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>",
            pen.ink, pen.width
        );
    }

    pub fn words(&mut self, (x, y): Place, words: &str, how: Type) {
        let anchor = match how.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let bold = if how.bold { " font-weight=\"700\"" } else { "" };
        let _ = writeln!(
            self.text,
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{}\" fill=\"{}\" text-anchor=\"{anchor}\"{bold}>{}</text>",
            how.size,
            how.ink,
            escaped(words)
        );
    }

    pub fn finished(mut self) -> Vec<u8> {
        self.text.push_str("</svg>\n");
        self.text.into_bytes()
    }
}

fn listed(places: &[Place]) -> String {
    let mut text = String::with_capacity(places.len() * 12);
    for (x, y) in places {
        let _ = write!(text, "{x:.1},{y:.1} ");
    }
    text.truncate(text.trim_end().len());
    text
}

/// As XML wants it; characters that XML forbids are left out.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\t' | '\n' | '\r' => text.push(' '),
            forbidden if u32::from(forbidden) < 32 || matches!(forbidden, '\u{fffe}' | '\u{ffff}') => {}
            other => text.push(other),
        }
    }
    text
}

/// Words in lines of so many letters at most.
pub(super) fn wrapped(words: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_somebody_calls_a_line_the_picture_stays_xml() {
        let mut svg = Svg::new(10.0, 10.0, "#fff", "a < b & \"c\"\u{1}");
        svg.words((1.0, 2.0), "5 > 4\n\u{0}", Type { size: 9.0, ink: "#000", anchor: Anchor::Start, bold: false });
        let text = String::from_utf8(svg.finished()).expect("UTF-8");
        assert!(text.contains("<title>a &lt; b &amp; &quot;c&quot;</title>") && text.contains(">5 &gt; 4 </text>"), "{text}");
    }

    #[test]
    fn words_are_wrapped_between_words_only() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("alongword a", 4), ["alongword", "a"]);
    }
}
