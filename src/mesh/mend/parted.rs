//! The step that keeps the outer of the two sides of a skin.
use super::super::surface::Surface;
use super::bench::Bench;
use super::film::refine;
use super::rim::{self, Rim};
use super::{MendError, outer};

/// Where the two sides of a skin cannot be parted, edges longer than this share of the
/// diagonal are split, and it is tried again: 23 mm of a hull of 2.3 m.
const COARSE_SHARE: f64 = 0.01;

impl Bench<'_> {
    pub(super) fn outer_skin(&mut self) -> Result<(), MendError> {
        let mut skin = outer::outer_skin(&self.surface, self.say);
        let longest_m = COARSE_SHARE * self.surface.diagonal_m();
        let found = skin
            .as_ref()
            .is_some_and(|skin| !skin.surface.faces.is_empty());
        if !found && longest_edge_m(&self.surface) > longest_m {
            let had = self.surface.faces.len();
            let mut fine = self.surface.clone();
            refine(&mut fine, longest_m, true);
            if outer::two_sides(&fine).is_some() {
                self.log(
                    "split",
                    format!(
                        "{had} triangles were split to edges of {:.0} mm at most, {} triangles: larger ones look out on both sides of the skin at once",
                        1e3 * longest_m,
                        fine.faces.len()
                    ),
                );
                self.surface = fine;
                skin = outer::outer_skin(&self.surface, self.say);
            }
        }
        let Some(skin) = skin else {
            self.log(
                "outer skin",
                "only one side of the skin is here: nothing was taken away",
            );
            return Ok(());
        };
        self.log("outer skin", skin.told());
        self.doubts.extend(skin.doubts());
        self.rims = skin.rim_errors_m();
        self.skin_thickness_m = Some(skin.thickness_m);
        self.surface = skin.surface;
        self.something_left("outer skin")?;
        self.drop_specks(false)?;
        self.cut_hanging_lips();
        Ok(())
    }

    /// Where the scan did not go round a lip that turns down, its outer side ends below its
    /// crest, with no cut to be found: the crest is the rim.
    fn cut_hanging_lips(&mut self) {
        let floor = self.floor_now();
        let hangs = |rim: &Rim| {
            let edge = rim.points.iter().copied();
            let by_floor = floor.is_some_and(|floor| floor.left(rim.length_m, edge));
            rim.hangs && !by_floor
        };
        let cut = rim::smooth_edges(&mut self.surface, hangs);
        if cut.is_empty() {
            return;
        }
        for rim in &cut {
            self.rims.push((rim.middle_m(), rim.error_m()));
        }
        self.log(
            "lips",
            format!(
                "{} lips that turn down inside their openings were cut off along their crests",
                cut.len()
            ),
        );
    }
}

/// The longest side of a surface's faces, m.
fn longest_edge_m(surface: &Surface) -> f64 {
    let sides = (0..surface.faces.len()).flat_map(|face| {
        let [a, b, c] = surface.corners(face);
        [a - b, b - c, c - a]
    });
    sides
        .map(|side| side.norm_squared())
        .fold(0.0, f64::max)
        .sqrt()
}
