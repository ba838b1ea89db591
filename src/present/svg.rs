//! The few shapes that drawings here are made of, as SVG 1.1 text. Every
//! drawing has a title and a description for those who cannot see it, and no
//! meaning rests on colour alone.
//!
//! By hand: a dozen shapes; a crate of shapes would be longer to use.
use std::fmt::Write as _;

use super::plain::{harmless, lines_that};
use crate::numerics::least_and_most;

/// Colours that the colour-blind tell apart, dark enough on white (Okabe and
/// Ito, Color Universal Design, 2008; from memory).
pub mod colour {
    /// Lines and text.
    pub const INK: &str = "#1a1a1a";
    /// Grids and lesser lines.
    pub const GRID: &str = "#b8b8b8";
    /// The quantity drawn.
    pub const MAIN: &str = "#0072b2";
    /// What is worst or warned of.
    pub const WORST: &str = "#d55e00";
    /// A second quantity.
    pub const OTHER: &str = "#009e73";
}

/// Room that texts keep from the edge, and from line to line in heights of a text.
pub(super) const EDGE: f64 = 14.0;
const LINE: f64 = 1.35;
/// Radius of the disc that a number stands in.
pub(super) const BADGE: f64 = 9.0;

/// Where a text hangs from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins there.
    Start,
    /// The text is centred there.
    Middle,
    /// The text ends there.
    End,
}

/// How wide a text of a height may run: of a broad sans serif, rather too much than too
/// little. By kind of letter; measured on DejaVu Sans.
pub(super) fn width_of(text: &str, height: f64) -> f64 {
    let ems = text.chars().map(|letter| match letter {
        ' ' | '!' | '\'' | ',' | '.' | '/' | ':' | ';' | 'I' | 'J' | 'f' | 'i' | 'j' | 'l'
        | '|' => 0.36,
        '(' | ')' | '-' | '[' | ']' | 'r' | 't' | '°' | '·' => 0.46,
        'M' | 'W' | 'm' | 'w' | '%' | '@' | '&' | '+' | '=' | '−' | '×' | '±' | '…' | '—' | '✓'
        | '✕' => 0.98,
        'A'..='Z' => 0.76,
        _ if letter.is_ascii() => 0.64,
        _ => 0.84,
    });
    ems.sum::<f64>() * height
}

/// The text, or as much of its beginning as there is room for, with a mark.
pub(super) fn shortened(text: &str, height: f64, room: f64) -> String {
    if width_of(text, height) <= room {
        return text.to_owned();
    }
    let mut kept = String::new();
    for letter in text.chars() {
        kept.push(letter);
        if width_of(&kept, height) + height > room {
            kept.pop();
            break;
        }
    }
    kept.truncate(kept.trim_end().len());
    kept + "…"
}

/// The text in lines of at most such a width, but for longer words.
pub(super) fn wrapped(text: &str, height: f64, room: f64) -> Vec<String> {
    lines_that(text, |line| width_of(line, height) <= room)
}

/// Heights of labels beside such places, in their order from the top down: moved down
/// where they would stand closer than `gap`.
pub(super) fn apart(wanted: &[f64], gap: f64) -> Vec<f64> {
    let mut last = f64::NEG_INFINITY;
    let moved = wanted.iter().map(|y| {
        last = y.max(last + gap);
        last
    });
    moved.collect()
}

/// Left, right, lowest and highest of some points.
pub(super) fn extent(points: impl Iterator<Item = [f64; 2]> + Clone) -> [f64; 4] {
    let (left, right) = least_and_most(points.clone().map(|[x, _]| x));
    let (low, high) = least_and_most(points.map(|[_, y]| y));
    [left, right, low, high]
}

/// The points but for those nearer to the last kept than a drawing shows.
pub(super) fn thinned(points: impl IntoIterator<Item = [f64; 2]>, near: f64) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for p in points {
        let is_near = |q: &[f64; 2]| (q[0] - p[0]).hypot(q[1] - p[1]) < near;
        if !kept.last().is_some_and(is_near) {
            kept.push(p);
        }
    }
    kept
}

/// Points as an element's `points`, to so many decimals.
fn listed(points: &[[f64; 2]], decimals: usize) -> String {
    let points = points.iter();
    let points = points.map(|[x, y]| format!("{x:.decimals$},{y:.decimals$}"));
    points.collect::<Vec<_>>().join(" ")
}

/// What a pattern repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marks<'a> {
    /// Slanting stripes of a colour.
    Stripes(&'a str),
    /// Dots of a colour.
    Dots(&'a str),
}

/// A drawing under way; lengths in its own units, y down.
#[derive(Debug, Clone)]
pub struct Svg {
    body: String,
    size: [f64; 2],
    /// Room that a heading of many lines takes over it.
    above: f64,
    title: String,
    description: String,
}

impl Svg {
    /// An empty drawing.
    #[must_use]
    pub fn new(size: [f64; 2], title: &str, description: &str) -> Self {
        Self {
            body: String::new(),
            size,
            above: 0.0,
            title: title.to_owned(),
            description: description.to_owned(),
        }
    }

    /// A straight line.
    pub fn line(&mut self, from: [f64; 2], to: [f64; 2], stroke: &str, width: f64) -> &mut Self {
        let ([x1, y1], [x2, y2]) = (from, to);
        let _ = writeln!(
            self.body,
            r#"<line x1="{x1:.2}" y1="{y1:.2}" x2="{x2:.2}" y2="{y2:.2}" stroke="{stroke}" stroke-width="{width}"/>"#
        );
        self
    }

    /// A run of lines; `fill` none leaves it open.
    pub fn polyline(
        &mut self,
        points: &[[f64; 2]],
        stroke: &str,
        width: f64,
        fill: Option<&str>,
    ) -> &mut Self {
        let (name, fill) = match fill {
            Some(fill) => ("polygon", format!("{fill}\" fill-opacity=\"0.25")),
            None => ("polyline", "none".to_owned()),
        };
        let _ = writeln!(
            self.body,
            r#"<{name} points="{}" stroke="{stroke}" stroke-width="{width}" fill="{fill}"/>"#,
            listed(points, 2)
        );
        self
    }

    /// A pattern that [`Self::area`] can be filled with: stripes or dots of one
    /// colour on a ground, repeated every `size`.
    pub fn pattern(&mut self, id: &str, size: f64, ground: &str, marks: Marks) -> &mut Self {
        let marks = match marks {
            Marks::Stripes(colour) => format!(
                r#"<path d="M{0:.1} {1:.1}L{1:.1} {0:.1}M0 {size}L{size} 0M{2:.1} {3:.1}L{3:.1} {2:.1}" stroke="{colour}" stroke-width="{4:.1}"/>"#,
                -size / 4.0,
                size / 4.0,
                size * 0.75,
                size * 1.25,
                size / 3.0
            ),
            Marks::Dots(colour) => format!(
                r#"<circle cx="{0:.1}" cy="{0:.1}" r="{1:.1}" fill="{colour}"/>"#,
                size / 2.0,
                size / 7.0
            ),
        };
        let _ = writeln!(
            self.body,
            r#"<defs><pattern id="{id}" width="{size}" height="{size}" patternUnits="userSpaceOnUse"><rect width="{size}" height="{size}" fill="{ground}"/>{marks}</pattern></defs>"#
        );
        self
    }

    /// A polygon without an edge line; `fill` is a colour or `url(#id)` of a
    /// [`Self::pattern`].
    pub fn area(&mut self, points: &[[f64; 2]], fill: &str) -> &mut Self {
        let _ = writeln!(
            self.body,
            r#"<polygon points="{}" fill="{fill}"/>"#,
            listed(points, 1)
        );
        self
    }

    /// From here to [`Self::unclip`] only what lies within a closed outline shows.
    pub fn clip(&mut self, id: &str, outline: &[[f64; 2]]) -> &mut Self {
        let _ = writeln!(
            self.body,
            r#"<defs><clipPath id="{id}"><polygon points="{}"/></clipPath></defs><g clip-path="url(#{id})">"#,
            listed(outline, 1)
        );
        self
    }

    /// Ends what [`Self::clip`] began.
    pub fn unclip(&mut self) -> &mut Self {
        self.body.push_str("</g>\n");
        self
    }

    /// A run of dashes.
    pub fn dashes(&mut self, points: &[[f64; 2]], stroke: &str, width: f64) -> &mut Self {
        let _ = writeln!(
            self.body,
            r#"<polyline points="{}" stroke="{stroke}" stroke-width="{width}" stroke-dasharray="7 4" fill="none"/>"#,
            listed(points, 2)
        );
        self
    }

    /// A circle.
    pub fn circle(
        &mut self,
        [x, y]: [f64; 2],
        radius: f64,
        stroke: &str,
        fill: Option<&str>,
    ) -> &mut Self {
        let fill = fill.unwrap_or("none");
        let _ = writeln!(
            self.body,
            r#"<circle cx="{x:.2}" cy="{y:.2}" r="{radius:.2}" stroke="{stroke}" fill="{fill}"/>"#
        );
        self
    }

    /// A rectangle.
    pub fn rectangle(
        &mut self,
        [x, y]: [f64; 2],
        [width, height]: [f64; 2],
        stroke: &str,
        fill: Option<(&str, f64)>,
    ) -> &mut Self {
        let (fill, opacity) = fill.unwrap_or(("none", 1.0));
        let _ = writeln!(
            self.body,
            r#"<rect x="{x:.2}" y="{y:.2}" width="{width:.2}" height="{height:.2}" stroke="{stroke}" fill="{fill}" fill-opacity="{opacity:.2}"/>"#
        );
        self
    }

    /// A number, counted from nought, in a white disc.
    pub(super) fn badge(&mut self, [x, y]: [f64; 2], height: f64, number: usize) -> &mut Self {
        let number = (number + 1).to_string();
        self.circle([x, y], BADGE, colour::INK, Some("white")).text(
            [x, y + 4.5],
            height,
            Anchor::Middle,
            &number,
        )
    }

    /// A text of a height.
    pub fn text(&mut self, [x, y]: [f64; 2], height: f64, anchor: Anchor, text: &str) -> &mut Self {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = writeln!(
            self.body,
            r#"<text x="{x:.2}" y="{y:.2}" font-size="{height}" text-anchor="{anchor}" fill="{}">{}</text>"#,
            colour::INK,
            escaped(text)
        );
        self
    }

    /// A text as [`Self::text`] that stays readable over lines: each letter with a white rim.
    pub fn text_over(
        &mut self,
        place: [f64; 2],
        height: f64,
        anchor: Anchor,
        text: &str,
    ) -> &mut Self {
        self.body.push_str(
            "<g stroke=\"white\" stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\">",
        );
        self.text(place, height, anchor, text);
        self.body.push_str("</g>\n");
        self
    }

    /// A text as [`Self::text`], shortened to the room for it.
    pub fn text_within(
        &mut self,
        place: [f64; 2],
        height: f64,
        anchor: Anchor,
        room: f64,
        text: &str,
    ) -> &mut Self {
        self.text(place, height, anchor, &shortened(text, height, room))
    }

    /// A heading whose last line stands at a place; the lines before it, where it is longer
    /// than the drawing is wide, stand above and make the drawing higher.
    pub fn heading(
        &mut self,
        [x, y]: [f64; 2],
        height: f64,
        anchor: Anchor,
        text: &str,
    ) -> &mut Self {
        let [left, right] = [x, self.size[0] - x].map(|room| room - EDGE);
        let room = match anchor {
            Anchor::Start => right,
            Anchor::Middle => 2.0 * left.min(right),
            Anchor::End => left,
        };
        let lines = wrapped(text, height, room);
        let more = lines.len().saturating_sub(1) as f64 * LINE * height;
        self.above = self.above.max(more);
        for (number, line) in lines.iter().enumerate() {
            let y = y - more + number as f64 * LINE * height;
            self.text_within([x, y], height, anchor, room, line);
        }
        self
    }

    /// A text of a height that begins at a place and goes on in lines under it, none
    /// wider than the room; returns how far they reach down.
    pub fn paragraph(&mut self, [x, y]: [f64; 2], height: f64, room: f64, text: &str) -> f64 {
        let lines = wrapped(text, height, room);
        for (number, line) in lines.iter().enumerate() {
            let y = y + number as f64 * LINE * height;
            self.text_within([x, y], height, Anchor::Start, room, line);
        }
        lines.len() as f64 * LINE * height
    }

    /// Makes the drawing so much higher at its foot; returns where the new room begins.
    pub fn lengthen(&mut self, by: f64) -> f64 {
        self.size[1] += by;
        self.size[1] - by
    }

    /// A note in small letters under everything, wrapped to the drawing's width.
    pub fn foot_note(&mut self, text: &str) -> &mut Self {
        const HIGH: f64 = 12.0;
        let room = self.size[0] - 2.0 * EDGE;
        let lines = wrapped(text, HIGH, room).len() as f64;
        let top = self.lengthen(lines * LINE * HIGH + 4.0);
        self.paragraph([EDGE, top + HIGH * 0.6], HIGH, room, text);
        self
    }

    /// The whole file.
    #[must_use]
    pub fn finish(&self) -> String {
        let [width, low] = self.size;
        let (top, height) = (0.0 - self.above, low + self.above);
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 {top:.2} {width} {height:.2}" width="{width}" height="{height:.2}" role="img" aria-labelledby="title description" font-family="sans-serif">
<title id="title">{}</title>
<desc id="description">{}</desc>
<rect y="{top:.2}" width="{width}" height="{height:.2}" fill="white"/>
{}</svg>
"#,
            escaped(&self.title),
            escaped(&self.description),
            self.body
        )
    }
}

/// Text as XML character data.
pub(super) fn escaped(text: &str) -> String {
    // XML 1.0 (section 2.2) has no way to write most control characters.
    harmless(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_escaped_and_the_drawing_is_described() {
        let mut svg = Svg::new([100.0, 50.0], "a < b", "\"quoted\" & more");
        svg.text([1.0, 2.0], 10.0, Anchor::Middle, "<sill>");
        let text = svg.finish();
        assert!(text.contains("<title id=\"title\">a &lt; b</title>"));
        assert!(text.contains("&quot;quoted&quot; &amp; more"));
        assert!(text.contains(">&lt;sill&gt;</text>"));
        assert!(text.ends_with("</svg>\n"));
    }

    #[test]
    fn a_long_text_is_shortened_or_goes_on_in_lines() {
        let name = "port hole in the transom for the bilge's pump";
        assert_eq!(shortened("rim", 10.0, 100.0), "rim");
        let short = shortened(name, 10.0, 100.0);
        assert!(
            short.ends_with('…') && width_of(&short, 10.0) <= 100.0,
            "{short}"
        );
        let lines = wrapped(name, 10.0, 100.0);
        assert!(lines.len() > 2 && lines.join(" ") == name, "{lines:?}");
        let mut svg = Svg::new([200.0, 50.0], "a", "b");
        svg.heading([14.0, 26.0], 10.0, Anchor::Start, name);
        // One line over the last makes the drawing higher by 1.35 heights.
        assert!(svg.finish().contains("viewBox=\"0 -13.50 200 63.50\""));
    }
}
