//! A template as SVG whose user unit is the millimetre.
use std::fmt::Write as _;

use super::{Drawing, Mark};
use crate::present::svg::{Anchor, escaped};
use crate::study::{Answer, TemplateResult};

/// The template with its check square on one sheet; width and height are stated
/// in mm.
#[must_use]
pub fn template_svg(result: &Answer<TemplateResult>) -> String {
    let drawing = Drawing::of(result).with_check_square();
    let [width, height] = [0, 1].map(|k| drawing.high[k] - drawing.low[k]);
    let place = |[x, y]: [f64; 2]| [x - drawing.low[0], drawing.high[1] - y];
    let mut body = String::new();
    for mark in &drawing.marks {
        match mark {
            Mark::Run {
                points,
                closed,
                style,
            } => {
                let list: Vec<String> = points
                    .iter()
                    .map(|p| {
                        let [x, y] = place(*p);
                        format!("{x:.4},{y:.4}")
                    })
                    .collect();
                let name = if *closed { "polygon" } else { "polyline" };
                let dashes: Vec<String> =
                    style.dashes_mm().iter().map(ToString::to_string).collect();
                let dashes = match dashes.is_empty() {
                    true => String::new(),
                    false => format!(" stroke-dasharray=\"{}\"", dashes.join(" ")),
                };
                let _ = writeln!(
                    body,
                    r#"<{name} class="{}" points="{}" fill="none" stroke="black" stroke-width="{}"{dashes}/>"#,
                    style.layer(),
                    list.join(" "),
                    style.width_mm()
                );
            }
            Mark::Text {
                at,
                height_mm,
                anchor,
                text,
            } => {
                let [x, y] = place(*at);
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                let _ = writeln!(
                    body,
                    r#"<text x="{x:.3}" y="{y:.3}" font-size="{height_mm}" text-anchor="{anchor}">{}</text>"#,
                    escaped(text)
                );
            }
        }
    }
    let title = escaped(&drawing.title);
    let seen = escaped(result.seen);
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3}mm" height="{height:.3}mm" viewBox="0 0 {width:.3} {height:.3}" role="img" aria-labelledby="title description" font-family="Helvetica, Arial, sans-serif">
<title id="title">{title}</title>
<desc id="description">full-size template, {seen}</desc>
<rect width="{width:.3}" height="{height:.3}" fill="white"/>
{body}</svg>
"#
    )
}
