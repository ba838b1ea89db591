//! The few pieces that pages here are made of, as HTML: sections, tables of the
//! same sheets that the terminal shows, drawings with their text alternatives.
use std::fmt::Write as _;

use super::super::sheet::{Block, Grid};
use super::super::svg::escaped;
use super::super::{Part, Sheet};
use crate::quantity::UnitSystem;

/// A page under way.
#[derive(Debug, Default)]
pub(super) struct Page {
    body: String,
    figures: usize,
    contents: Vec<(String, String)>,
    /// The last heading: what a table is of.
    heading: String,
}

impl Page {
    /// Opens a section; sections are closed by [`Self::end`].
    pub(super) fn section(&mut self, id: &str, title: &str) {
        let _ = writeln!(
            self.body,
            "<section id=\"{id}\" aria-labelledby=\"{id}-h\">\n<h2 id=\"{id}-h\">{}</h2>",
            escaped(title)
        );
        self.contents.push((id.to_owned(), title.to_owned()));
        title.clone_into(&mut self.heading);
    }

    pub(super) fn end(&mut self) {
        self.body.push_str("</section>\n");
    }

    /// The section of one study: its answer, its drawings with their captions, its
    /// tables.
    pub(super) fn study(
        &mut self,
        (id, title): (&str, &str),
        answer: &str,
        figures: &[(&str, &str)],
        sheet: &Sheet,
    ) {
        self.section(id, title);
        self.paragraph("lead", answer);
        for (svg, caption) in figures {
            self.figure(svg, caption);
        }
        self.sheet(sheet);
        self.end();
    }

    pub(super) fn paragraph(&mut self, class: &str, text: &str) {
        let _ = writeln!(self.body, "<p class=\"{class}\">{}</p>", escaped(text));
    }

    pub(super) fn heading(&mut self, text: &str) {
        text.clone_into(&mut self.heading);
        let _ = writeln!(self.body, "<h3>{}</h3>", escaped(text));
    }

    /// Opens a part of a page without sections.
    pub(super) fn part(&mut self, title: &str) {
        let _ = writeln!(self.body, "<h2>{}</h2>", escaped(title));
        title.clone_into(&mut self.heading);
    }

    pub(super) fn list<T: AsRef<str>>(&mut self, class: &str, texts: &[T]) {
        let _ = writeln!(self.body, "<ul class=\"{class}\">");
        for text in texts {
            let _ = writeln!(self.body, "<li>{}</li>", escaped(text.as_ref()));
        }
        self.body.push_str("</ul>\n");
    }

    /// Markup of our own.
    pub(super) fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
    }

    /// A drawing, its ids made its own so that many fit one page.
    pub(super) fn figure(&mut self, svg: &str, caption: &str) {
        let figure = self.figure_apart(svg, caption);
        self.body.push_str(&figure);
    }

    /// The markup of a drawing that stands outside the page's body.
    pub(super) fn figure_apart(&mut self, svg: &str, caption: &str) -> String {
        /// A drawing is never shown smaller than this share of its own size: narrower
        /// windows move along it.
        const LEAST_SHARE: f64 = 0.9;
        self.figures += 1;
        let number = self.figures;
        let mut own = svg.to_owned();
        for id in ["title", "description"] {
            own = own.replace(&format!("id=\"{id}\""), &format!("id=\"{id}-{number}\""));
        }
        own = own.replace(
            "aria-labelledby=\"title description\"",
            &format!("aria-labelledby=\"title-{number} description-{number}\""),
        );
        // A drawing's first width is its own.
        let mut widths = own.split(" width=\"").skip(1);
        let width = widths.next().and_then(|rest| rest.split('"').next());
        let width: f64 = width.and_then(|width| width.parse().ok()).unwrap_or(0.0);
        let least = width * LEAST_SHARE;
        own = own.replacen(
            "<svg ",
            &format!("<svg style=\"min-width:{least:.0}px\" "),
            1,
        );
        format!(
            "<figure>\n<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{caption}\">\n{own}</div>\n<figcaption>{caption}</figcaption>\n</figure>\n",
            caption = escaped(caption)
        )
    }

    /// A sheet's headings, values, tables and notes, but for its title and what
    /// is told once.
    pub(super) fn sheet(&mut self, sheet: &Sheet) {
        self.sheet_but(sheet, None);
    }

    /// As [`Self::sheet`], also without a part that is told elsewhere.
    pub(super) fn sheet_but(&mut self, sheet: &Sheet, elsewhere: Option<Part>) {
        let mut left_out = false;
        for block in sheet.blocks() {
            if let Block::Heading(_, part) = block {
                left_out = part.is_some() && *part == elsewhere;
            }
            if left_out {
                continue;
            }
            match block {
                // Doubts and cautions are told once, at the page's end.
                Block::Title(_) | Block::Doubts(_) | Block::Cautions(_) => {}
                Block::Heading(text, _) => self.heading(text),
                Block::Grid(grid) => self.table(grid, sheet.units),
                Block::Notes(notes) => self.list("notes", notes),
            }
        }
    }

    pub(super) fn table(&mut self, grid: &Grid, units: UnitSystem) {
        let _ = writeln!(
            self.body,
            "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{heading}\"><table>\n<caption>{heading}</caption>",
            heading = escaped(&self.heading)
        );
        if let Some(header) = &grid.header {
            self.body.push_str("<thead><tr>");
            for cell in header {
                // An empty corner is no heading.
                let tag = if cell.is_empty() { "td" } else { "th" };
                let scope = if cell.is_empty() {
                    ""
                } else {
                    " scope=\"col\""
                };
                let _ = write!(self.body, "<{tag}{scope}>{}</{tag}>", escaped(cell));
            }
            self.body.push_str("</tr></thead>\n");
        }
        self.body.push_str("<tbody>\n");
        for row in &grid.rows {
            self.body.push_str("<tr>");
            for (number, cell) in row.iter().enumerate() {
                let is_quantity = cell.is_quantity();
                let class = if is_quantity { " class=\"q\"" } else { "" };
                let within = |text: &str, quantity: bool| match escaped(text) {
                    text if quantity && !is_quantity => format!("<span class=\"q\">{text}</span>"),
                    text => text,
                };
                let text = cell.marked_up(units, within, bar);
                let _ = if number == 0 {
                    write!(self.body, "<th scope=\"row\"{class}>{text}</th>")
                } else {
                    write!(self.body, "<td{class}>{text}</td>")
                };
            }
            self.body.push_str("</tr>\n");
        }
        self.body.push_str("</tbody></table></div>\n");
    }

    /// Letters of its body, those of drawings and markup left out.
    pub(super) fn letters(&self) -> usize {
        let mut drawings = self.body.split("<svg");
        let first = drawings.next().unwrap_or_default();
        let behind = drawings.filter_map(|part| part.split_once("</svg>"));
        let texts = std::iter::once(first).chain(behind.map(|(_, rest)| rest));
        let letters = texts.map(|text| {
            let parts = text.split('<').map(|part| part.split_once('>'));
            let words = parts.map(|part| part.map_or(0, |(_, words)| words.chars().count()));
            words.sum::<usize>()
        });
        letters.sum()
    }

    /// The whole file: what stands before the contents, then the contents, then
    /// the sections.
    pub(super) fn finish(&self, title: &str, head: &str, style: &str) -> String {
        let contents: String = self
            .contents
            .iter()
            .map(|(id, title)| format!("<li><a href=\"#{id}\">{}</a></li>", escaped(title)))
            .collect();
        let nav = if self.contents.is_empty() {
            String::new()
        } else {
            format!("<nav aria-label=\"On this page\"><ul>{contents}</ul></nav>\n")
        };
        format!(
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"generator\" content=\"awash {version}\">\n<title>{title}</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n{style}</style>\n</head>\n<body>\n{head}{nav}<main>\n{body}</main>\n</body>\n</html>\n",
            version = env!("CARGO_PKG_VERSION"),
            title = escaped(title),
            body = self.body
        )
    }
}

/// A bar of so many parts.
fn bar(parts: u8) -> String {
    if parts == 0 {
        return String::new();
    }
    let width = 0.55 * f64::from(parts);
    format!("<span class=\"bar\" aria-hidden=\"true\" style=\"width:{width:.1}em\"></span>")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::present::cell::{cells, mass};

    #[test]
    fn a_quantity_is_kept_together_alone_and_among_words() {
        let mut sheet = Sheet::titled("", UnitSystem::Metric);
        sheet.grid(
            &["", "", ""],
            [cells!["a", mass(2.0), mass(3.0) + " & more"]],
        );
        let mut page = Page::default();
        page.sheet(&sheet);
        let row = "<th scope=\"row\">a</th><td class=\"q\">2.0 kg</td><td><span class=\"q\">3.0 kg</span> &amp; more</td>";
        assert!(page.body.contains(row), "{}", page.body);
    }
}
