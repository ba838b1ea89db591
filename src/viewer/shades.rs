//! Colours by height above the water: a row of shades whose middle is the
//! waterline.
//!
//! Under water: river green to deep blue. Over it: bands by the yardstick of a
//! sill, told apart by stripes as well as by colour, since a hole may be drilled
//! there only if it can be sealed.
use crate::boat::Band;

/// Shades in the row.
pub const TEXELS: u32 = 4096;
/// Least half range of the row, m; doubled until the boat fits.
const LEAST_HALF_RANGE_M: f64 = 1.024;
/// Width of the dark line just above the water, m.
const WATERLINE_M: f64 = 0.004;
/// Heights between fine level lines, and their width, m.
const LEVEL_LINES_M: [f64; 2] = [0.05, 0.002];
/// Stripes of the band that fails, m.
const STRIPE_M: f64 = 0.01;

/// Red, green, blue.
pub(super) type Colour = [u8; 3];
/// The darkest line.
pub(super) const INK: Colour = [24, 32, 38];
const SHALLOW: Colour = [64, 156, 160];
const DEEP: Colour = [16, 52, 96];
const FAILS: Colour = [206, 92, 60];
const FAILS_STRIPE: Colour = [246, 214, 190];
const NARROW: Colour = [236, 186, 84];
const LOW_CLEAR: Colour = [222, 220, 200];
const HIGH_CLEAR: Colour = [250, 248, 240];
const INSIDE_HIGH: Colour = [214, 214, 206];
const INSIDE_LOW: Colour = [170, 180, 184];
/// Depth at which the water's colour is the deepest, m.
const DEEPEST_M: f64 = 0.3;
/// Height at which the clear colour is the palest, m.
const PALEST_M: f64 = 0.6;

/// The row of shades and what range of heights it spans.
#[derive(Debug, Clone, PartialEq)]
pub struct Shades {
    /// Heights from minus to plus this lie in the row, m.
    pub half_range_m: f64,
    red_m: f64,
    green_m: f64,
}

impl Shades {
    /// A row for a boat whose farthest point from any water is `reach_m` away,
    /// with its bands at the limits of a sill's height.
    #[must_use]
    pub fn new(reach_m: f64, sill: &Band) -> Self {
        let mut half_range_m = LEAST_HALF_RANGE_M;
        while half_range_m < reach_m && half_range_m.is_finite() {
            half_range_m *= 2.0;
        }
        Self {
            half_range_m,
            red_m: sill.red.value,
            green_m: sill.green.value,
        }
    }

    /// Place in the row of a height above the water, 0 to 1; the waterline is at
    /// one half, between two shades.
    #[must_use]
    pub fn place_of(&self, height_m: f64) -> f32 {
        #[expect(clippy::cast_possible_truncation, reason = "for drawing")]
        let place = (0.5 + height_m / (2.0 * self.half_range_m)) as f32;
        place
    }

    /// The row, red, green, blue.
    #[must_use]
    pub fn row(&self) -> Vec<[u8; 3]> {
        (0..TEXELS)
            .map(|texel| {
                let middle = (f64::from(texel) + 0.5) / f64::from(TEXELS);
                self.colour((middle - 0.5) * 2.0 * self.half_range_m)
            })
            .collect()
    }

    /// The row for the hull's inner side: no water there, so one pale shade, a
    /// darker one below the level of the water outside, and the line between.
    #[must_use]
    pub fn inside_row(&self) -> Vec<[u8; 3]> {
        (0..TEXELS)
            .map(|texel| {
                let middle = (f64::from(texel) + 0.5) / f64::from(TEXELS);
                match (middle - 0.5) * 2.0 * self.half_range_m {
                    height if height < 0.0 => INSIDE_LOW,
                    height if height < WATERLINE_M => INK,
                    _ => INSIDE_HIGH,
                }
            })
            .collect()
    }

    /// The bands above the water, for the legend: name and the height it is drawn
    /// at, m.
    #[must_use]
    pub fn legend(&self) -> [(String, f64); 4] {
        let mm = |m: f64| m * 1e3;
        [
            (
                format!("over {:.0} mm: clear", mm(self.green_m)),
                self.green_m + 0.03,
            ),
            (
                format!(
                    "{:.0} to {:.0} mm: marginal",
                    mm(self.red_m),
                    mm(self.green_m)
                ),
                f64::midpoint(self.red_m, self.green_m) + 0.007,
            ),
            (
                format!("under {:.0} mm: fails", mm(self.red_m)),
                self.red_m / 2.0,
            ),
            ("under water".to_owned(), -0.12),
        ]
    }

    /// The colour at a height above the water, m.
    #[must_use]
    pub fn colour(&self, height_m: f64) -> [u8; 3] {
        if height_m < 0.0 {
            let level = level_line(height_m);
            let water = mixed(SHALLOW, DEEP, -height_m / DEEPEST_M);
            return if level {
                mixed(water, INK, 0.25)
            } else {
                water
            };
        }
        if height_m < WATERLINE_M {
            return INK;
        }
        let band = if height_m < self.red_m {
            let stripe = (height_m / STRIPE_M).rem_euclid(1.0) < 0.5;
            if stripe { FAILS } else { FAILS_STRIPE }
        } else if height_m <= self.green_m {
            NARROW
        } else {
            mixed(
                LOW_CLEAR,
                HIGH_CLEAR,
                (height_m - self.green_m) / (PALEST_M - self.green_m).max(0.1),
            )
        };
        if height_m >= self.red_m && level_line(height_m) {
            mixed(band, INK, 0.2)
        } else {
            band
        }
    }
}

fn level_line(height_m: f64) -> bool {
    let [every, wide] = LEVEL_LINES_M;
    height_m.rem_euclid(every) < wide
}

/// A colour between two, the share clamped to 0..1.
pub(super) fn mixed(from: Colour, to: Colour, share: f64) -> Colour {
    let share = share.clamp(0.0, 1.0);
    std::array::from_fn(|i| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between two bytes"
        )]
        let mixed = (f64::from(from[i]) * (1.0 - share) + f64::from(to[i]) * share).round() as u8;
        mixed
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::Yardsticks;

    #[test]
    fn the_row_turns_from_water_to_ink_at_its_middle() {
        let shades = Shades::new(1.5, &Yardsticks::default().sill);
        assert!((shades.half_range_m - 2.048).abs() < 1e-12);
        let row = shades.row();
        let middle = row.len() / 2;
        assert_eq!(row[middle], INK);
        assert_ne!(row[middle - 1], INK);
        assert!((shades.place_of(0.0) - 0.5).abs() < f32::EPSILON);
        assert!(shades.place_of(-1.5) >= 0.0 && shades.place_of(1.5) <= 1.0);
    }

    #[test]
    fn bands_differ_in_lightness_too() {
        let shades = Shades::new(1.0, &Yardsticks::default().sill);
        let light = |height: f64| {
            let [r, g, b] = shades.colour(height).map(f64::from);
            0.3 * r + 0.6 * g + 0.1 * b
        };
        // Stripes, then the band between, then clear.
        assert!((light(0.012) - light(0.017)).abs() > 50.0);
        assert!(light(0.12) - light(0.08) > 15.0);
        assert!(light(0.08) - light(-0.08) > 60.0);
    }
}
