//! A rectangle of a drawing with axes: values in, places out.
use super::svg::{Anchor, Svg, colour};

/// Axes over two ranges of values.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plot {
    corner: [f64; 2],
    size: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl Plot {
    /// Axes in a rectangle; ranges without width are widened.
    pub(super) fn new(corner: [f64; 2], size: [f64; 2], x: [f64; 2], y: [f64; 2]) -> Self {
        let widened = |[low, high]: [f64; 2]| {
            if high > low {
                [low, high]
            } else {
                [low - 0.5, low + 0.5]
            }
        };
        Self {
            corner,
            size,
            x: widened(x),
            y: widened(y),
        }
    }

    /// Where a pair of values lies.
    pub(super) fn at(&self, x: f64, y: f64) -> [f64; 2] {
        let share = |value: f64, [low, high]: [f64; 2]| (value - low) / (high - low);
        [
            self.corner[0] + self.size[0] * share(x, self.x),
            self.corner[1] + self.size[1] * (1.0 - share(y, self.y)),
        ]
    }

    /// Frame, grid lines at round values with their numbers, names of the axes.
    pub(super) fn axes(&self, svg: &mut Svg, x_name: &str, y_name: &str) {
        for x in round_values(self.x) {
            let ends = [self.at(x, self.y[0]), self.at(x, self.y[1])];
            svg.line(ends[0], ends[1], colour::GRID, 1.0);
            let below = [ends[0][0], ends[0][1] + 16.0];
            svg.text(below, 12.0, Anchor::Middle, &number(x));
        }
        for y in round_values(self.y) {
            let ends = [self.at(self.x[0], y), self.at(self.x[1], y)];
            svg.line(ends[0], ends[1], colour::GRID, 1.0);
            let beside = [ends[0][0] - 6.0, ends[0][1] + 4.0];
            svg.text(beside, 12.0, Anchor::End, &number(y));
        }
        svg.rectangle(self.corner, self.size, colour::INK, None);
        let [left, top] = self.corner;
        let below = [left + self.size[0] / 2.0, top + self.size[1] + 34.0];
        svg.text(below, 13.0, Anchor::Middle, x_name);
        svg.text([left, top - 8.0], 13.0, Anchor::Start, y_name);
    }
}

/// About five round values in a range: 1, 2 or 5 times a power of ten apart.
pub(super) fn round_values([low, high]: [f64; 2]) -> Vec<f64> {
    let rough = (high - low) / 5.0;
    let power = 10.0_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|times| times * power)
        .into_iter()
        .find(|step| *step >= rough * 0.999)
        .unwrap_or(10.0 * power);
    let mut values = Vec::new();
    let mut number = (low / step).ceil();
    while number * step <= high + 1e-9 * step && values.len() < 50 {
        // Never minus nought.
        values.push(number * step + 0.0);
        number += 1.0;
    }
    values
}

pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_round_and_within() {
        assert_eq!(round_values([-0.1, 1.0]), [0.0, 0.5, 1.0]);
        assert_eq!(round_values([0.0, 180.0]), [0.0, 50.0, 100.0, 150.0]);
        assert_eq!(number(-0.25), "-0.25");
    }

    #[test]
    fn a_plot_puts_the_corners_where_they_are() {
        let plot = Plot::new([10.0, 20.0], [100.0, 50.0], [0.0, 2.0], [5.0, 6.0]);
        assert_eq!(plot.at(0.0, 5.0), [10.0, 70.0]);
        assert_eq!(plot.at(2.0, 6.0), [110.0, 20.0]);
    }
}
