//! Two boats side by side in one picture, at one scale.

/// Room between the two, as a share of their sizes that way.
const GAP_SHARE: f64 = 0.12;
/// The least of it, as a share of the longer one's length in the picture: names
/// and heights stand there.
const LEAST_GAP_SHARE: f64 = 0.07;

/// Whether the two lie beside or over each other in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    /// The one before on the left.
    Row,
    /// The one before above.
    Column,
}

/// Half the width and half the height of a boat as it is seen.
pub type HalfSize = [f64; 2];

/// How far apart the middles of the two lie, in the unit of their sizes.
#[must_use]
pub fn apart(now: HalfSize, before: HalfSize, layout: Layout) -> f64 {
    let along = match layout {
        Layout::Row => 0,
        Layout::Column => 1,
    };
    let longest = now.into_iter().chain(before).fold(0.0, f64::max);
    let both = now[along] + before[along];
    both + (GAP_SHARE * both).max(LEAST_GAP_SHARE * 2.0 * longest)
}

/// The two in one picture: how they lie, half the size of both together, and
/// where its middle is from that of the boat as it is now, to the right and up.
#[must_use]
pub fn both(now: HalfSize, before: HalfSize, layout: Layout) -> (HalfSize, [f64; 2]) {
    let apart = apart(now, before, layout);
    let larger = |i: usize| now[i].max(before[i]);
    match layout {
        Layout::Row => (
            [(now[0] + apart + before[0]) / 2.0, larger(1)],
            [(now[0] - apart - before[0]) / 2.0, 0.0],
        ),
        Layout::Column => (
            [larger(0), (now[1] + apart + before[1]) / 2.0],
            [0.0, (apart + before[1] - now[1]) / 2.0],
        ),
    }
}

/// The layout in which they are seen larger in a picture so many times as wide
/// as high.
#[must_use]
pub fn larger(now: HalfSize, before: HalfSize, aspect: f64) -> Layout {
    let height = |layout| {
        let ([width, height], _) = both(now, before, layout);
        height.max(width / aspect)
    };
    if height(Layout::Row) < height(Layout::Column) {
        Layout::Row
    } else {
        Layout::Column
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_ones_lie_over_each_other_and_high_ones_side_by_side() {
        assert_eq!(larger([1.7, 0.3], [1.7, 0.3], 1.6), Layout::Column);
        assert_eq!(larger([0.5, 0.4], [0.5, 0.4], 1.6), Layout::Row);
    }

    #[test]
    fn they_do_not_touch_and_both_are_in_the_picture() {
        let (now, before) = ([1.7, 0.3], [1.6, 0.25]);
        for (layout, i, side) in [(Layout::Row, 0, -1.0), (Layout::Column, 1, 1.0)] {
            let apart = apart(now, before, layout);
            assert!(apart > now[i] + before[i]);
            let (half, middle) = both(now, before, layout);
            let ends = [side * apart + side * before[i], -side * now[i]];
            for end in ends {
                assert!(((end - middle[i]).abs() - half[i]).abs() < 1e-12);
            }
        }
    }
}
