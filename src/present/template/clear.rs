//! Texts of a template where they cover neither a line to cut by nor each other.
use super::{Drawing, Mark, Style};
use crate::present::svg::{Anchor, width_of};

/// Room that a text keeps from lines and other texts, mm.
const ROOM_MM: f64 = 0.6;

/// Low and high corner, mm.
pub(super) type Box = [[f64; 2]; 2];

impl Drawing {
    /// A text at the first of some places that is clear, at the last where none is.
    pub(super) fn text_clear(
        &mut self,
        height_mm: f64,
        text: String,
        places: impl IntoIterator<Item = ([f64; 2], Anchor)>,
    ) {
        let mut last = None;
        for (at, anchor) in places {
            last = Some((at, anchor));
            if self.is_clear(&box_of(at, height_mm, anchor, &text)) {
                break;
            }
        }
        let Some((at, anchor)) = last else { return };
        let [low, high] = box_of(at, height_mm, anchor, &text);
        for k in [0, 1] {
            self.low[k] = self.low[k].min(low[k] - ROOM_MM);
            self.high[k] = self.high[k].max(high[k] + ROOM_MM);
        }
        self.text(at, height_mm, anchor, text);
    }

    /// Whether no line to cut by and no text lies in a box.
    pub(super) fn is_clear(&self, area: &Box) -> bool {
        !self.marks.iter().any(|mark| match mark {
            Mark::Run {
                points,
                closed,
                style: Style::Cut | Style::Part | Style::OtherFace,
            } => {
                let next = points
                    .iter()
                    .skip(1)
                    .chain(points.first().filter(|_| *closed));
                points.iter().zip(next).any(|(a, b)| meets(area, a, b))
            }
            Mark::Run { .. } => false,
            Mark::Text {
                at,
                height_mm,
                anchor,
                text,
            } => {
                let other = box_of(*at, *height_mm, *anchor, text);
                (0..2).all(|k| area[0][k] < other[1][k] && area[1][k] > other[0][k])
            }
        })
    }
}

fn box_of(at: [f64; 2], height_mm: f64, anchor: Anchor, text: &str) -> Box {
    let wide = width_of(text, height_mm);
    let left = match anchor {
        Anchor::Start => at[0],
        Anchor::Middle => at[0] - wide / 2.0,
        Anchor::End => at[0] - wide,
    };
    // Small letters hang a fifth of their height under their line.
    let low = [left - ROOM_MM, at[1] - 0.2 * height_mm - ROOM_MM];
    [
        low,
        [left + wide + ROOM_MM, at[1] + 0.75 * height_mm + ROOM_MM],
    ]
}

/// Whether a straight line meets a box (Liang and Barsky's clipping).
fn meets([low, high]: &Box, a: &[f64; 2], b: &[f64; 2]) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in [0, 1] {
        let along = b[k] - a[k];
        for (step, room) in [(-along, a[k] - low[k]), (along, high[k] - a[k])] {
            if step == 0.0 {
                if room < 0.0 {
                    return false;
                }
            } else if step < 0.0 {
                from = from.max(room / step);
            } else {
                to = to.min(room / step);
            }
        }
    }
    from < to
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_meets_a_box_or_passes_it() {
        let area = [[0.0, 0.0], [2.0, 1.0]];
        assert!(meets(&area, &[-1.0, 0.5], &[3.0, 0.5]));
        assert!(meets(&area, &[1.0, 0.5], &[1.0, 0.6]));
        assert!(!meets(&area, &[-1.0, 2.0], &[3.0, 2.0]));
        assert!(!meets(&area, &[-2.0, 0.0], &[0.0, 3.0]));
    }
}
