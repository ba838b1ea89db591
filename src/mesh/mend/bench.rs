//! The steps of mending, each on the mesh as the last one left it.
use super::super::cap::{ring_area, triangulate_ring};
use super::super::check::{Examination, Loop, SPECK_SHARE};
use super::super::clean::faces_to_keep;
use super::super::columns::ColumnAudit;
use super::super::doubt::{Doubt, DoubtKind, at};
use super::super::hole::{HoleKind, tell_holes};
use super::super::placement::{Moved, Placement};
use super::super::prepare::{PrepareOptions, Prepared, prepare};
use super::super::raw::FacetNumbers;
use super::super::surface::Surface;
use super::super::survey::Survey;
use super::super::symmetry::{principal_axes, quantile};
use super::super::topology::{NO_SHELL, Topology};
use super::super::units::Confidence;
use super::posture::{Level, Posture, Told, find_posture};
use super::{
    Crop, MendError, MendRecipe, MendStep, Mended, MeshSummary, cut, film, flat, outer, rebuild,
    rim,
};
use crate::numerics::Vec3;

/// Share of the diagonal within which an open edge of a half is drawn onto a
/// given centre plane: 7 mm on a hull of 3.4 m.
const MIRROR_REACH_SHARE: f64 = 2e-3;

/// A fitted rim is that of an opening whose middle lies this near, as a share of
/// its length: rims do not lie in one another.
const RIM_NEAR_SHARE: f64 = 0.1;

/// The edge of what a floor hid of a bottom lies within so many times the height
/// that was taken away with the floor.
const FLOOR_HOLE_REACHES: f64 = 4.0;
/// Holes longer round than this are filled fair, smaller ones straight across, m.
const FAIR_OVER_M: f64 = 0.15;

/// A torn edge lies within this share of the diagonal of its plane: 25 mm on a hull
/// of 3.6 m.
const TORN_MOST_SHARE: f64 = 6.6e-3;
/// Places of a torn edge this far apart, m, are torn independently.
const TORN_APART_M: f64 = 0.1;

/// A mesh on the bench, and what was done to it so far.
pub(super) struct Bench<'a> {
    surface: Surface,
    steps: Vec<MendStep>,
    doubts: Vec<Doubt>,
    moved: Moved,
    /// Centre plane, where a mirrored half tells it.
    known_plane: Option<(Vec3, f64)>,
    /// A floor that was taken away: the way from it to the hull, its offset along
    /// that and how far over it the hull may begin, in the frame of the scan, m.
    floor: Option<(Vec3, f64, f64)>,
    skin_thickness_m: Option<f64>,
    /// Middles of fitted rims, and how far off they may lie, in the frame of the
    /// scan, m.
    rims: Vec<(Vec3, f64)>,
    say: &'a dyn Fn(&'static str),
}

/// A closed surface whose last faces are caps.
pub(super) struct Closed {
    surface: Surface,
    /// Faces before the caps of openings.
    skin_faces: usize,
    examination: Examination,
}

impl<'a> Bench<'a> {
    pub(super) fn with(surface: Surface, say: &'a dyn Fn(&'static str)) -> Self {
        Self {
            surface,
            steps: Vec::new(),
            doubts: Vec::new(),
            moved: Moved::default(),
            known_plane: None,
            floor: None,
            skin_thickness_m: None,
            rims: Vec::new(),
            say,
        }
    }

    fn log(&mut self, step: &'static str, done: impl Into<String>) {
        let done = done.into();
        self.steps.push(MendStep { step, done });
    }

    fn something_left(&self, step: &'static str) -> Result<(), MendError> {
        if self.surface.faces.is_empty() {
            Err(MendError::NothingLeft { step })
        } else {
            Ok(())
        }
    }

    /// Takes out duplicates and faces without area, and makes faces agree.
    pub(super) fn clean(&mut self) {
        (self.say)("cleaning");
        let mut topology = Topology::of(&self.surface);
        let survey = Survey::of(&self.surface, &topology, &FacetNumbers::default());
        let mut said = Vec::new();
        if let Some(keep) = faces_to_keep(&self.surface, &topology, &survey, &mut said) {
            let mut flags = keep.iter();
            let faces = &mut self.surface.faces;
            faces.retain(|_| flags.next().copied().unwrap_or(true));
            self.surface.drop_unused_vertices();
            topology = Topology::of(&self.surface);
        }
        let turned = topology.turned.iter().filter(|t| **t).count();
        for (face, turned) in self.surface.faces.iter_mut().zip(&topology.turned) {
            if *turned {
                face.swap(1, 2);
            }
        }
        let mut done: Vec<String> = said.iter().map(ToString::to_string).collect();
        if turned > 0 {
            done.push(format!(
                "{turned} facets that disagreed with their neighbours were turned over"
            ));
        }
        if done.is_empty() {
            done.push("nothing to clean".into());
        }
        self.log("clean", done.join("; "));
    }

    pub(super) fn drop_floor(&mut self) -> Result<(), MendError> {
        (self.say)("looking for a floor");
        let floor = flat::find_floor(&self.surface).ok_or(MendError::NoFloor)?;
        let had = self.surface.faces.len();
        let reach_m = floor.reach_m(&self.surface);
        self.floor = Some((floor.normal, floor.offset_m, reach_m));
        flat::remove_floor(&mut self.surface, &floor);
        self.something_left("floor")?;
        let gone = had - self.surface.faces.len();
        self.log(
            "floor",
            format!(
                "a flat part with {:.0} % of the area was taken for the floor and removed ({gone} facets)",
                100.0 * floor.share
            ),
        );
        Ok(())
    }

    pub(super) fn drop_specks(&mut self, largest_only: bool) -> Result<(), MendError> {
        (self.say)("dropping loose pieces");
        let topology = Topology::of(&self.surface);
        let mut area = vec![0.0; topology.shells];
        let mut bounds =
            vec![(Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)); topology.shells];
        for (face, &shell) in topology.shell.iter().enumerate() {
            if shell != NO_SHELL {
                let shell = shell as usize;
                area[shell] += self.surface.face_area_m2(face);
                for v in self.surface.corners(face) {
                    bounds[shell] = (bounds[shell].0.inf(&v), bounds[shell].1.sup(&v));
                }
            }
        }
        let largest = (0..area.len()).max_by(|a, b| area[*a].total_cmp(&area[*b]));
        let limit_m = SPECK_SHARE * self.surface.diagonal_m();
        let keep: Vec<bool> = (0..area.len())
            .map(|s| {
                Some(s) == largest
                    || (!largest_only && (bounds[s].1 - bounds[s].0).norm() >= limit_m)
            })
            .collect();
        let dropped = keep.iter().filter(|k| !**k).count();
        if dropped > 0 {
            let had = self.surface.faces.len();
            let mut shells = topology.shell.iter();
            self.surface.faces.retain(|_| {
                let shell = shells.next().copied().unwrap_or(NO_SHELL);
                keep.get(shell as usize).copied().unwrap_or(false)
            });
            self.surface.drop_unused_vertices();
            let gone = had - self.surface.faces.len();
            let what = if largest_only {
                "all but the largest shell were".to_owned()
            } else {
                format!("shells smaller than {limit_m:.3} m were")
            };
            self.log(
                "shells",
                format!("{what} removed: {dropped} shells, {gone} facets"),
            );
        }
        self.something_left("shells")
    }

    /// Mirrors a half in the plane of its cut, or in the flat part of its edge
    /// with the given number.
    pub(super) fn mirror_at_cut(&mut self, number: Option<usize>) -> Result<(), MendError> {
        (self.say)("mirroring the half");
        let edge = self
            .holes()
            .first()
            .map(|rim| evenly_along(&self.surface, &rim.vertices))
            .unwrap_or_default();
        let parts = flat::flat_parts(&self.surface, &edge);
        let listed = || {
            let lines = (1..).zip(&parts).map(|(number, part): (usize, _)| {
                format!(
                    "{number}: {:.0} % of the edge, its middle at {}, within {:.1} mm of flat",
                    100.0 * part.share,
                    at(&part.middle),
                    1e3 * part.off_m
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
            None => flat::cut_of(&parts).ok_or_else(|| MendError::TwoCuts { parts: listed() })?,
        };
        // A torn edge is drawn onto the plane as far as it lies from it.
        let most_m = TORN_MOST_SHARE * self.surface.diagonal_m();
        let torn = edge
            .iter()
            .map(|p| (part.normal.dot(p) - part.offset_m).abs());
        let torn = quantile(torn.filter(|off| *off < most_m).collect(), 0.98);
        let reach_m = (2.0 * part.reach_m).max(1.2 * torn);
        cut::add_mirror_image(&mut self.surface, &part.normal, part.offset_m, reach_m);
        // A whole hull mirrored in the plane of its rim closes up.
        let long = self.surface.diagonal_m() / 2.0;
        if self.holes().iter().all(|hole| hole.length_m < long) && number.is_none() {
            return Err(MendError::NoCut);
        }
        self.known_plane = Some((part.normal, part.offset_m));
        // Torn places are as good as independent a hand's breadth apart; both
        // halves shift with the plane, and its area is at most that of its box.
        let along = longest_extent(&edge);
        let plane_m = part.off_m / (along / TORN_APART_M).max(1.0).sqrt();
        let (_, [_, across, _]) = principal_axes(&edge);
        let deep = edge.iter().map(|p| (p - part.middle).dot(&across).abs());
        let deep_m = 2.0 * deep.fold(0.0, f64::max);
        self.log(
            "mirror",
            format!(
                "the half was mirrored in a flat part of its open edge, {:.0} % of that, within {:.1} mm of flat; so its centre plane is good to ± {:.1} mm, which is ± {:.1} L of the whole volume at most",
                100.0 * part.share,
                1e3 * part.off_m,
                1e3 * plane_m,
                1e3 * 2.0 * plane_m * along * deep_m
            ),
        );
        Ok(())
    }

    pub(super) fn upright(
        &mut self,
        level: &Level,
        recipe: &MendRecipe,
    ) -> Result<Posture, MendError> {
        (self.say)("turning upright");
        let topology = Topology::of(&self.surface);
        let survey = Survey::of(&self.surface, &topology, &FacetNumbers::default());
        let mut loops = survey.examination.loops;
        // What the floor hid is no opening.
        loops.retain(|hole| !self.is_left_by_floor(hole));
        let told = Told {
            plane: self.known_plane,
            from_floor: self.floor.map(|floor| floor.0),
            upside_down: recipe.upside_down,
            swap_ends: recipe.swap_ends,
        };
        let posture = find_posture(&self.surface, &loops, &told, level)?;
        let moved = Moved {
            turn: posture.turn,
            scale: 1.0,
            shift_m: -posture.origin_m,
        };
        moved.apply(&mut self.surface);
        self.moved = self.moved.then(&moved);
        for (sure, text) in [
            (
                posture.up,
                "which way is up is a guess: look at it, and give `upside_down` if it is wrong",
            ),
            (
                posture.bow,
                "which end is the bow is a guess: look at it, and give `swap_ends` if it is wrong",
            ),
        ] {
            if sure == Confidence::Guess {
                self.doubts.push(Doubt::new(DoubtKind::Place, text));
            }
        }
        self.log(
            "upright",
            format!(
                "turned by {:.2}°; up: {} ({}); bow: {} ({}); {}; origin aftmost, on the centre plane, at the keel's lowest point",
                posture.off_by_deg,
                posture.up_because,
                posture.up,
                posture.bow_because,
                posture.bow,
                if self.known_plane.is_some() {
                    "one side is the other's mirror image, so their agreement says nothing".to_owned()
                } else {
                    format!(
                        "sides agree within {:.1} mm at nine places of ten",
                        1e3 * posture.plane.nine_tenths_m
                    )
                }
            ),
        );
        Ok(posture)
    }

    pub(super) fn place(&mut self, placement: &Placement) -> Result<(), MendError> {
        let moved = placement.apply(&mut self.surface)?;
        self.moved = self.moved.then(&moved);
        let mut done = Vec::new();
        if placement.turn.is_some() {
            done.push(format!("turned by {:.2}°", moved.turn.angle().to_degrees()));
        }
        if let Some(length) = placement.scale_to_length_m {
            done.push(format!("scaled by {:.5} to {length:.3} m", moved.scale));
        }
        if let Some(origin) = &placement.origin_m {
            done.push(format!("{} became the origin", at(origin)));
        }
        self.log("place", done.join("; "));
        Ok(())
    }

    pub(super) fn crop(&mut self, crop: &Crop) -> Result<(), MendError> {
        (self.say)("cropping");
        let had = self.surface.area_m2();
        crop.apply(&mut self.surface);
        self.something_left("crop")?;
        let gone = had - self.surface.area_m2();
        self.log("crop", format!("{gone:.3} m² of surface were cut off"));
        Ok(())
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

    pub(super) fn outer_skin(&mut self) -> Result<(), MendError> {
        let Some(skin) = outer::outer_skin(&self.surface, self.say) else {
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
        self.drop_specks(false)
    }

    /// Whether a hole is what a floor hid of the bottom.
    fn is_left_by_floor(&self, hole: &Loop) -> bool {
        let place = |v: &u32| self.moved.back(&self.surface.vertices[*v as usize]);
        self.floor
            .is_some_and(|floor| is_by_floor(floor, hole.vertices.iter().map(place)))
    }

    /// The holes at this step, the longest first.
    fn holes(&self) -> Vec<Loop> {
        let topology = Topology::of(&self.surface);
        let survey = Survey::of(&self.surface, &topology, &FacetNumbers::default());
        let mut holes = survey.examination.loops;
        holes.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
        holes
    }

    /// Draws the rough edges of openings onto smooth curves.
    pub(super) fn smooth_rims(&mut self, is_upright: bool) {
        (self.say)("smoothing the rims");
        let bounds = self.surface.bounds().unwrap_or_default();
        let floor = self.floor;
        let moved = self.moved;
        // What the floor hid and what the scan lacks has no rim.
        let is_rim = |points: &[Vec3]| {
            let by_floor =
                floor.is_some_and(|floor| is_by_floor(floor, points.iter().map(|p| moved.back(p))));
            let holes = tell_holes(&[points.to_vec()], bounds);
            !by_floor && !(is_upright && holes[0].probably == HoleKind::ScanHole)
        };
        let fitted = rim::smooth_edges(&mut self.surface, is_rim);
        let done = match fitted.first() {
            None => "no edge was rough enough to be drawn onto a curve".to_owned(),
            Some(_) => format!(
                "{} rims were drawn onto smooth curves; their edges lay within {:.1} mm of these at two places of three",
                fitted.len(),
                1e3 * fitted.iter().map(|rim| rim.scatter_m).fold(0.0, f64::max)
            ),
        };
        for rim in fitted {
            let middle = self.moved.back(&rim.middle_m());
            self.rims.push((middle, rim.error_m() / self.moved.scale));
        }
        self.log("smooth rims", done);
    }

    /// Fills the holes that a recipe numbers and those that a floor left, as
    /// fair as the skin round them.
    pub(super) fn fill_numbered(&mut self, recipe: &MendRecipe) -> Result<(), MendError> {
        if recipe.fill.is_empty() && recipe.keep.is_empty() && self.floor.is_none() {
            return Ok(());
        }
        (self.say)("filling");
        let holes = self.holes();
        let wanted = recipe.fill.iter().chain(&recipe.keep);
        if let Some(&number) = wanted.into_iter().find(|n| !(1..=holes.len()).contains(*n)) {
            return Err(MendError::NoSuchHole {
                number,
                holes: holes.len(),
            });
        }
        let under_m = recipe
            .fill_under_m
            .unwrap_or(PrepareOptions::default().fill_under_m);
        for (number, hole) in (1..).zip(&holes) {
            let by_floor = self.is_left_by_floor(hole);
            let is_small = !recipe.keep.is_empty() && hole.length_m < under_m;
            if recipe.keep.contains(&number)
                || !(recipe.fill.contains(&number) || is_small || by_floor)
            {
                continue;
            }
            let how = self.fill_hole(hole);
            if !is_small {
                let why = if by_floor {
                    "which the floor hid, "
                } else {
                    ""
                };
                self.log(
                    "fill",
                    format!(
                        "hole {number}, {:.3} m round at {}, {why}was filled {how}",
                        hole.length_m,
                        at(&hole.centre)
                    ),
                );
            }
        }
        Ok(())
    }

    /// Fills one hole and tells how.
    fn fill_hole(&mut self, hole: &Loop) -> String {
        let fair = (hole.length_m > FAIR_OVER_M)
            .then(|| film::fair(&self.surface, &hole.vertices))
            .flatten();
        if let Some(film) = fair {
            let plane = hole.centre;
            let points: Vec<Vec3> = hole
                .vertices
                .iter()
                .map(|v| self.surface.vertices[*v as usize])
                .collect();
            let out = ring_area(&points).try_normalize(0.0).unwrap_or_default();
            let highest = film
                .inner
                .iter()
                .map(|p| (p - plane).dot(&out).abs())
                .fold(0.0, f64::max);
            for (v, place) in hole.vertices.iter().zip(&film.ring) {
                self.surface.vertices[*v as usize] = *place;
            }
            self.surface.vertices.extend(film.inner);
            self.surface.faces.extend(film.faces);
            return format!(
                "fair to the skin round it, at most {:.1} mm off the plane of its edge",
                1e3 * highest
            );
        }
        let points: Vec<Vec3> = hole
            .vertices
            .iter()
            .map(|v| self.surface.vertices[*v as usize])
            .collect();
        let (triangles, _) = triangulate_ring(&points, |_, _| false);
        let faces = triangles
            .iter()
            .map(|&[a, b, c]| [a, c, b].map(|k| hole.vertices[k as usize]));
        self.surface.faces.extend(faces);
        "straight across".to_owned()
    }

    /// Fills small holes and turns everything outward.
    pub(super) fn fill(&mut self, under_m: Option<f64>) -> Result<Closed, MendError> {
        (self.say)("filling and turning outward");
        let mut options = PrepareOptions::default();
        if let Some(under_m) = under_m {
            options.fill_under_m = under_m;
        }
        let prepared = prepare(std::mem::take(&mut self.surface), &options);
        let mended: Vec<f64> = prepared
            .loops
            .iter()
            .filter(|l| l.mended)
            .map(|l| l.length_m)
            .collect();
        self.log(
            "fill",
            match mended.first() {
                Some(longest) => format!(
                    "{} holes shorter round than {:.3} m were filled, the longest {longest:.3} m round",
                    mended.len(),
                    options.fill_under_m
                ),
                None => format!("no hole shorter round than {:.3} m", options.fill_under_m),
            },
        );
        if !prepared.closed {
            let why = prepared
                .doubts
                .iter()
                .find(|d| d.kind == DoubtKind::NotClosed)
                .map_or_else(String::new, ToString::to_string);
            return Err(MendError::NotClosed(why));
        }
        // What was said of small holes and facets is in the log.
        let still = |d: &&Doubt| {
            !matches!(
                d.kind,
                DoubtKind::Defect | DoubtKind::Mended | DoubtKind::Turned | DoubtKind::Capped
            ) || d.text.contains("twisted")
        };
        self.doubts
            .extend(prepared.doubts.iter().filter(still).cloned());
        Ok(Closed::of(prepared))
    }

    pub(super) fn rebuild(&mut self, closed: Closed) -> Result<Closed, MendError> {
        (self.say)("making one skin of overlapping shells");
        let caps = closed.surface.faces.len() - closed.skin_faces;
        let tags: Vec<u64> = (0..closed.surface.faces.len())
            .map(|f| u64::from(f >= closed.skin_faces))
            .collect();
        let had = closed.surface.signed_volume_m3();
        let (mut surface, tags) = rebuild::rebuilt(&closed.surface, &tags)?;
        if caps > 0 {
            let mut tags_left = tags.iter();
            surface
                .faces
                .retain(|_| tags_left.next().copied() == Some(0));
            surface.drop_unused_vertices();
        }
        let again = prepare(surface, &PrepareOptions::default());
        let now = again.surface.signed_volume_m3();
        self.log(
            "rebuild",
            format!(
                "overlapping shells were made one skin: {:.2} L before, {:.2} L now",
                1e3 * had,
                1e3 * now
            ),
        );
        self.doubts
            .retain(|d| !matches!(d.kind, DoubtKind::Overlap | DoubtKind::Nested));
        let overlaps = again.doubts.iter().filter(|d| d.kind == DoubtKind::Overlap);
        self.doubts.extend(overlaps.cloned());
        if !again.closed {
            return Err(MendError::NotClosed(
                "making one skin of its shells left gaps".into(),
            ));
        }
        Ok(Closed::of(again))
    }

    pub(super) fn finish(
        self,
        closed: Closed,
        before: MeshSummary,
        posture: Option<Posture>,
    ) -> Result<Mended, MendError> {
        let volume_m3 = closed.surface.signed_volume_m3();
        let mut surface = closed.surface;
        surface.faces.truncate(closed.skin_faces);
        surface.drop_unused_vertices();
        let topology = Topology::of(&surface);
        let survey = Survey::of(&surface, &topology, &FacetNumbers::default());
        let mut openings = survey.examination.loops.clone();
        openings.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
        let mut doubts = self.doubts;
        let overlaps = closed
            .examination
            .audit
            .as_ref()
            .is_some_and(ColumnAudit::is_doubled);
        if overlaps && let Some(doubt) = doubts.iter_mut().find(|d| d.kind == DoubtKind::Overlap) {
            doubt
                .text
                .push_str("; mend with `rebuild` to make one skin of them");
        }
        let scale = self.moved.scale;
        let rim_errors_m = openings
            .iter()
            .map(|opening| {
                let near = RIM_NEAR_SHARE * opening.length_m;
                self.rims
                    .iter()
                    .find(|(middle, _)| (self.moved.point(middle) - opening.centre).norm() < near)
                    .map(|(_, error_m)| error_m * scale)
            })
            .collect();
        Ok(Mended {
            skin_thickness_m: self.skin_thickness_m.map(|thick| thick * scale),
            rim_errors_m,
            after: MeshSummary::of(&surface, &survey.examination, Some(volume_m3)),
            surface,
            openings,
            steps: self.steps,
            before,
            moved: self.moved,
            posture,
            doubts,
        })
    }
}

impl Closed {
    fn of(prepared: Prepared) -> Self {
        let mut surface = prepared.surface;
        // Caps of openings come first among the caps, those of mended holes
        // last: these become skin.
        let open: Vec<_> = prepared.loops.iter().filter(|l| !l.mended).collect();
        let begin = prepared
            .loops
            .first()
            .map_or(surface.faces.len(), |l| l.cap.start);
        let end = open.last().map_or(begin, |l| l.cap.end);
        surface.faces[begin..].rotate_left(end - begin);
        Self {
            skin_faces: surface.faces.len() - (end - begin),
            surface,
            examination: prepared.examination,
        }
    }
}

/// Whether all of an edge lies close over a floor: the way from it, its offset
/// along that, and how far over it things were taken away with it, m.
fn is_by_floor(
    (normal, offset_m, reach_m): (Vec3, f64, f64),
    mut edge: impl Iterator<Item = Vec3>,
) -> bool {
    edge.all(|p| normal.dot(&p) - offset_m < FLOOR_HOLE_REACHES * reach_m)
}

/// The longest extent of a row of points, m.
fn longest_extent(points: &[Vec3]) -> f64 {
    let (_, [long, ..]) = principal_axes(points);
    let along = points.iter().map(|p| p.dot(&long));
    let (lo, hi) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| {
        (lo.min(x), hi.max(x))
    });
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
