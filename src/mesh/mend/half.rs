//! The half that a scan lacks.
use schemars::JsonSchema;
use serde::Serialize;

use super::super::check::Loop;
use super::super::doubt::{Doubt, DoubtKind, at, point_as_array};
use super::super::surface::Surface;
use super::super::symmetry::principal_axes;
use super::bench::Bench;
use super::flat::FlatPart;
use super::posture::Told;
use super::unseen::{Unseen, WATER_SHARE};
use super::{MendError, cut, flat, outer, rim};
use crate::numerics::{Vec3, least_and_most};

/// Share of the diagonal within which an open edge of a half is drawn onto a
/// given centre plane: 7 mm on a hull of 3.4 m.
const MIRROR_REACH_SHARE: f64 = 2e-3;
/// A torn edge lies within this share of the diagonal of its plane: 25 mm on a hull
/// of 3.6 m.
const TORN_MOST_SHARE: f64 = 6.6e-3;
/// Gaps longer round than this, m, are no gaps of a seam.
const SEAM_GAP_M: f64 = 0.3;
/// Places of a torn edge this far apart, m, are torn independently.
const TORN_APART_M: f64 = 0.1;

/// What a mirrored half must hold: a torn edge that leaves more open than this of the volume,
/// or of a sill, m, is no edge to mirror a scan in that is rougher than this, m. On finer ones
/// the edge is taken and its ± told: in `tests/scans/halves.rs` they hold what they must.
const MOST_OPEN_SHARE: f64 = 0.01;
const MOST_OPEN_M: f64 = 0.004;
const ROUGH_M: f64 = 1.3e-3;
/// A mirrored half has an opening longer round than this share of its diagonal.
const LONG_SHARE: f64 = 0.5;
/// The plane that halves a hull is steeper than halfway to level over the floor it stood on.
const LEVEL_COSINE: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// Of normal noise nine tenths lie within so many deviations.
const NINE_TENTHS: f64 = 1.645;

/// A flat part of the longest open edge of a mesh: where half a hull may have been cut
/// off.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct FlatEdge {
    /// Its number for [`super::Mirror::AtFlat`].
    pub number: usize,
    /// Share of the edge that it is.
    pub share: f64,
    /// Its middle, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub middle: Vec3,
    /// Nine tenths of it lie this near to a plane, m.
    pub off_m: f64,
    /// Whether it is plainly the cut among all.
    pub is_cut: bool,
    /// Breadth of the hull that mirroring in it makes, m.
    pub broad_m: f64,
    /// Its depth, m.
    pub deep_m: f64,
    /// Points along it, m.
    #[serde(skip)]
    pub points: Vec<Vec3>,
}

/// The flat parts of the longest of a surface's open edges, as mirroring a half
/// numbers them; none is the cut that mirroring would refuse by what is told of the floor and
/// the skin.
#[must_use]
pub fn flat_edges(surface: &Surface, loops: &[Loop], told: &Told) -> Vec<FlatEdge> {
    let longest = loops
        .iter()
        .max_by(|a, b| a.length_m.total_cmp(&b.length_m));
    let Some(longest) = longest else {
        return Vec::new();
    };
    let edge = evenly_along(surface, &longest.vertices);
    let parts = flat::flat_parts(surface, &edge);
    // What is off the cut comes twice.
    let others = loops.iter().filter(|other| !std::ptr::eq(*other, longest));
    let others_m = others.map(|other| other.length_m).fold(0.0, f64::max);
    let may_be = |cut: &&FlatPart| {
        let open_m = others_m.max(2.0 * (1.0 - cut.share) * longest.length_m);
        let closes = open_m < surface.diagonal_m() * LONG_SHARE && !told.both_sides;
        !closes && !told.from_floor.is_some_and(|up| is_level(cut, &up))
    };
    let cut = flat::cut_of(&edge, &parts, surface.diagonal_m()).filter(may_be);
    let cut = cut.map(|cut| cut.middle);
    let edges = (1..).zip(parts).map(|(number, part)| FlatEdge {
        is_cut: cut == Some(part.middle),
        number,
        share: part.share,
        middle: part.middle,
        off_m: part.off_m,
        broad_m: part.makes_m[0],
        deep_m: part.makes_m[1],
        points: part.on,
    });
    edges.collect()
}

impl Bench<'_> {
    /// Mirrors a half in the plane of its cut, or in the flat part of its edge
    /// with the given number.
    pub(super) fn mirror_at_cut(&mut self, number: Option<usize>) -> Result<(), MendError> {
        (self.say)("mirroring the half");
        let holes = self.holes();
        let ring = holes.first().map_or(&[][..], |rim| &rim.vertices);
        let edge = evenly_along(&self.surface, ring);
        let parts = flat::flat_parts(&self.surface, &edge);
        let listed = || {
            let lines = (1..).zip(&parts).map(|(number, part): (usize, _)| {
                format!(
                    "{number}: {:.0} % of the edge, {:.2} m by {:.2} m, its middle at {}, within {:.1} mm of flat, which makes the hull {}",
                    100.0 * part.share,
                    extent(&part.on, 0),
                    extent(&part.on, 1),
                    at(&part.middle),
                    1e3 * part.off_m,
                    in_words(part.makes_m)
                )
            });
            lines.collect::<Vec<_>>().join("; ")
        };
        let part = match number {
            Some(number) => number
                .checked_sub(1)
                .and_then(|k| parts.get(k))
                .ok_or_else(|| MendError::NoSuchFlatPart {
                    number,
                    parts: listed(),
                })?,
            None if parts.is_empty() => return Err(MendError::NoCut),
            None => flat::cut_of(&edge, &parts, self.surface.diagonal_m())
                .ok_or_else(|| MendError::TwoCuts { parts: listed() })?,
        };
        if self
            .floor
            .is_some_and(|floor| is_level(part, &floor.normal))
        {
            return Err(MendError::LevelCut { parts: listed() });
        }
        if let Some(number) = number {
            let cut = flat::cut_of(&edge, &parts, self.surface.diagonal_m());
            self.doubts.extend(doubt_number(number, &parts, cut));
        }
        let most_m = TORN_MOST_SHARE * self.surface.diagonal_m();
        let along = extent(&edge, 0);
        // Torn places are as good as independent a hand's breadth apart; but what is torn
        // off may be more on one side all along: evenly so up to half of it, whose
        // deviation is that over √3. Of normal noise 0.9 lie within 1.64 deviations, and a
        // ± is two.
        let apart = (along / TORN_APART_M).max(1.0).sqrt();
        let own_m = 1.2 * part.off_m / apart;
        let one_sided_m = part.off_m / 3.0_f64.sqrt();
        let plane_m = own_m.hypot(one_sided_m);
        let reach_m = 2.0 * part.reach_m;
        let both_sides = outer::two_sides(&self.surface).is_some();
        cut::add_mirror_image(&mut self.surface, &part.normal, part.offset_m, reach_m);
        // What is torn out lacks whole faces.
        let teeth_m = part.reach_m + rim::middle_edge(&self.surface);
        let seam = self.close_seam(&part.normal, part.offset_m, most_m.max(teeth_m));
        // A whole hull mirrored in the plane of its rim closes up; so does a half with both
        // sides of its skin, whose openings have no open edge.
        let long = self.surface.diagonal_m() * LONG_SHARE;
        if self.holes().iter().all(|hole| hole.length_m < long) && number.is_none() && !both_sides {
            return Err(MendError::NoCut);
        }
        self.known_plane = Some((part.normal, part.offset_m));
        self.cut_off_m = part.off_m;
        self.mirrored_in = match number {
            Some(_) => None,
            None => (1..)
                .zip(&parts)
                .find_map(|(number, other)| std::ptr::eq(other, part).then_some(number)),
        };
        // Both halves shift with the plane, whose area is at most its box's.
        let (_, [_, across, _]) = principal_axes(&part.on);
        let off = part.on.iter().map(|p| (p - part.middle).dot(&across).abs());
        let off: Vec<f64> = off.collect();
        let deep_m = 2.0 * off.iter().copied().fold(0.0, f64::max);
        let spread_m = (off.iter().map(|off| off * off).sum::<f64>() / off.len() as f64).sqrt();
        let volume_m3 = 2.0 * plane_m * along * deep_m;
        // The plane may be off more at one end than at the other.
        self.unseen.push(Unseen {
            volume_m3: WATER_SHARE * volume_m3,
            middle: part.middle,
            along_m: along / 12.0_f64.sqrt(),
            across_m: 0.0,
            lowest: None,
            by_mirror: true,
        });
        // The slope of a line through points spread so far, by least squares. What is torn
        // off deck and keel alike does not roll it: half of that is taken to differ.
        self.roll_error = own_m.hypot(one_sided_m / 2.0) / spread_m.max(f64::MIN_POSITIVE);
        self.log(
            "mirror",
            format!(
                "the half was mirrored in a flat part of its open edge ({:.0} % of the edge, flat within {:.1} mm); the centre plane is good to ± {:.1} mm (± {:.1} L of volume at most) and ± {:.2}° (± {:.1} mm at a sill for each 10 cm off the middle); {seam} gaps along the seam were closed",
                100.0 * part.share,
                1e3 * part.off_m,
                1e3 * plane_m,
                1e3 * volume_m3,
                self.roll_error.to_degrees(),
                1e2 * self.roll_error
            ),
        );
        Ok(())
    }

    /// Refuses a half whose torn edge leaves more open than can be borne, unless its flat part
    /// was given by number: told how rough the skin is and what the plane's roll makes of a
    /// sill, m.
    pub(super) fn refuse_ragged(&self, rough_m: f64, sill_m: f64) -> Result<(), MendError> {
        let Some(number) = self.mirrored_in else {
            return Ok(());
        };
        // What noise alone would do to a straight cut is as likely on either side.
        let noise_m = NINE_TENTHS * rough_m;
        let off_m = self.cut_off_m.max(f64::MIN_POSITIVE);
        let torn = (1.0 - (noise_m / off_m).powi(2)).max(0.0).sqrt();
        let is_open = torn * self.mirror_share > MOST_OPEN_SHARE || torn * sill_m > MOST_OPEN_M;
        if is_open && rough_m > ROUGH_M {
            return Err(MendError::RaggedHalf {
                number,
                share: self.mirror_share,
                sill_m,
            });
        }
        Ok(())
    }

    /// Closes what the teeth of a torn edge left open along the seam, and counts it.
    fn close_seam(&mut self, normal: &Vec3, offset_m: f64, most_m: f64) -> usize {
        let holes = self.holes();
        let on_seam = holes.iter().filter(|hole| {
            let mut edge = hole.vertices.iter();
            let place = |v: &u32| self.surface.vertices[*v as usize];
            hole.length_m < SEAM_GAP_M
                && edge.all(|v| (normal.dot(&place(v)) - offset_m).abs() < most_m)
        });
        let gaps: Vec<Loop> = on_seam.cloned().collect();
        for gap in &gaps {
            self.fill_hole(gap, None);
        }
        gaps.len()
    }

    pub(super) fn mirror_at_centre(&mut self) -> Result<(), MendError> {
        (self.say)("mirroring at the centre");
        let area_to_port: f64 = (0..self.surface.faces.len())
            .map(|f| {
                let side = self.surface.corners(f).iter().map(|v| v.y).sum::<f64>();
                self.surface.face_area_m2(f).copysign(side)
            })
            .sum();
        let missing = -Vec3::y() * area_to_port.signum();
        cut::keep_below(&mut self.surface, &missing, 0.0);
        self.something_left("mirror")?;
        let reach_m = MIRROR_REACH_SHARE * self.surface.diagonal_m();
        cut::add_mirror_image(&mut self.surface, &missing, 0.0, reach_m);
        let side = if missing.y < 0.0 { "port" } else { "starboard" };
        self.log("mirror", format!("the {side} half was mirrored at y = 0"));
        Ok(())
    }
}

/// Whether a flat part lies level over a floor: a craft stands on its keel, and the plane that
/// halves it does not.
fn is_level(part: &FlatPart, up: &Vec3) -> bool {
    part.normal.dot(up).abs() > LEVEL_COSINE
}

/// The doubt of a half mirrored in a part that only its number says is the cut: in a level rim
/// it makes as sound a body as in the cut, a hull that lies on its side.
fn doubt_number(number: usize, parts: &[FlatPart], cut: Option<&FlatPart>) -> Option<Doubt> {
    let given = &parts[number - 1];
    let is_given = |part: &FlatPart| std::ptr::eq(part, given);
    if cut.is_some_and(is_given) {
        return None;
    }
    let others = (1_usize..).zip(parts).filter(|(_, other)| {
        !is_given(other) && (flat::may_be_cut(other, parts) || !flat::may_be_cut(given, parts))
    });
    let others: Vec<String> = others
        .map(|(other, part)| format!("mirrored in {other} it is {}", in_words(part.makes_m)))
        .collect();
    let says = match cut {
        Some(_) => "another one is plainly the cut",
        None => "nothing but that number says that it is the cut and not a rim",
    };
    (!others.is_empty()).then(|| {
        let text = format!(
            "the half was mirrored in flat part {number} of its open edge, which makes the hull {}, and {says}; {}: hold that against a tape across the hull, and give the other number to `mirror` if it fits better",
            in_words(given.makes_m),
            others.join(", "),
        );
        Doubt::new(DoubtKind::Place, text)
    })
}

/// Breadth and depth of a hull in words.
fn in_words([broad_m, deep_m]: [f64; 2]) -> String {
    format!("{broad_m:.2} m broad and {deep_m:.2} m deep")
}

/// How far points reach along one of their own axes, the longest being 0, m.
fn extent(points: &[Vec3], axis: usize) -> f64 {
    let (_, axes) = principal_axes(points);
    let (lo, hi) = least_and_most(points.iter().map(|p| p.dot(&axes[axis])));
    (hi - lo).max(0.0)
}

/// Points at equal steps along a ring of vertices.
fn evenly_along(surface: &Surface, ring: &[u32]) -> Vec<Vec3> {
    const POINTS: usize = 2000;
    let place = |k: usize| surface.vertices[ring[k % ring.len()] as usize];
    let length: f64 = (0..ring.len())
        .map(|k| (place(k + 1) - place(k)).norm())
        .sum();
    let step = length / POINTS as f64;
    let mut points = Vec::with_capacity(POINTS);
    let (mut summed, mut next) = (0.0, 0.0);
    for k in 0..ring.len() {
        let (a, b) = (place(k), place(k + 1));
        let side = (b - a).norm();
        while next < summed + side && points.len() < POINTS {
            points.push(a + (b - a) * ((next - summed) / side));
            next += step;
        }
        summed += side;
    }
    points
}
