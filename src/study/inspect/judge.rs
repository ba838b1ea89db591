//! The grade of a mesh, its reasons, and what to do next: only what can be done.
use super::{Grade, InspectResult, LooksLike};
use crate::mesh::{Confidence, DoubtKind};
use crate::numerics::Vec3;

/// A hull whose sides agree within this share of its breadth is symmetric, and
/// one whose sides differ by more than this is not.
const SYMMETRIC_SHARE: f64 = 0.005;
const LOPSIDED_SHARE: f64 = 0.015;
/// An angle off the boat frame that is worth turning, deg.
const OFF_LEVEL_DEG: f64 = 1.0;
/// A hull whose own axes lie this near to the mesh's (cosine) and whose aftmost
/// and lowest points are this near to zero, as a share of its length, was placed
/// on purpose: it is not to be turned again.
const ON_AXIS: f64 = 0.99;
const AT_ORIGIN_SHARE: f64 = 0.005;
/// Pieces in each other are worth a rebuild over this share of the volume.
const REBUILD_SHARE: f64 = 5e-4;

/// Sets the grade, its reasons and what to do next.
pub(super) fn judge(result: &mut InspectResult) {
    let mut verdict = Verdict {
        grade: Grade::Good,
        because: Vec::new(),
        next: Vec::new(),
        steps: Vec::new(),
    };
    judge_closing(result, &mut verdict);
    judge_what_is_there(result, &mut verdict);
    judge_lie(result, &mut verdict);
    if verdict.because.is_empty() {
        verdict
            .because
            .push("closed but for its openings, symmetric, upright, nothing wrong found".into());
    }
    if !verdict.steps.is_empty() {
        verdict.next.push(format!(
            "awash mend {} -o mended.stl {}",
            result.name,
            verdict.steps.join(" ")
        ));
    }
    if verdict.grade <= Grade::UsableWithCare {
        verdict.next.push(format!("awash init {}", result.name));
    }
    result.grade = verdict.grade;
    result.because = verdict.because;
    result.next = verdict.next;
}

struct Verdict {
    grade: Grade,
    because: Vec<String>,
    next: Vec<String>,
    /// Options of `awash mend`.
    steps: Vec<&'static str>,
}

impl Verdict {
    fn find(&mut self, at_least: Grade, because: impl Into<String>) {
        self.grade = self.grade.max(at_least);
        self.because.push(because.into());
    }

    fn step(&mut self, option: &'static str) {
        if !self.steps.contains(&option) {
            self.steps.push(option);
        }
    }
}

fn judge_closing(result: &InspectResult, verdict: &mut Verdict) {
    if result.volume_m3.is_none() {
        verdict.find(Grade::NotUsable, "it can not be closed");
        verdict
            .next
            .push("mend it in a mesh editor at the places listed, or scan it again".into());
    }
    let doubted = |kind| result.mesh_doubts.iter().find(|d| d.kind == kind);
    // Two sides of a skin meet in many places: the outer one alone is asked.
    if result.skin_thickness_m.is_none() {
        if let Some(doubt) = doubted(DoubtKind::Overlap) {
            judge_overlap(result, &doubt.text, verdict);
        }
        if let Some(doubt) = doubted(DoubtKind::Nested) {
            verdict.find(Grade::MendFirst, doubt.text.clone());
        }
    }
    let count = |looks| {
        result
            .loops
            .iter()
            .filter(|l| l.looks_like == looks)
            .count()
    };
    let (holes, unclear) = (count(LooksLike::Defect), count(LooksLike::Unclear));
    if holes + unclear > 0 {
        verdict.find(
            Grade::UsableWithCare,
            format!("{holes} holes look like defects of the scan, {unclear} may be either"),
        );
    }
    if unclear > 0 {
        verdict.next.push(
            "look at the unclear holes in the picture (--svg) and set --fill-under longer than the longest that is a defect".into(),
        );
    }
    let count: usize = result.defects.iter().map(|class| class.count).sum();
    if count > 0 {
        verdict.find(
            Grade::UsableWithCare,
            format!("{count} other defects, mended in passing where that is possible"),
        );
    }
}

/// A rebuild is proposed where pieces that are sound each pass through each other; what one
/// piece does to itself, or noise at an edge, it does not cure.
fn judge_overlap(result: &InspectResult, text: &str, verdict: &mut Verdict) {
    let Some(volume) = result.volume_m3 else {
        verdict.find(Grade::MendFirst, text);
        return;
    };
    if result.overlap_m3 < REBUILD_SHARE * volume {
        verdict.find(Grade::UsableWithCare, text);
        return;
    }
    verdict.find(Grade::MendFirst, text);
    if result.rebuild_may_help {
        verdict.step("--rebuild");
        verdict
            .next
            .push("--rebuild may take up to two minutes, and rough scans can be refused".into());
    } else {
        verdict.next.push(
            "--rebuild is left out, since a piece that passes through itself is not cured by it: look at the place, and crop or cut away in a mesh editor what stands there".into(),
        );
    }
}

fn judge_what_is_there(result: &InspectResult, verdict: &mut Verdict) {
    if let Some(share) = result.floor_share {
        verdict.find(
            Grade::MendFirst,
            format!(
                "a flat floor with {:.0} % of the area is part of the mesh",
                100.0 * share
            ),
        );
        verdict.step("--drop-floor");
        if result.skin_thickness_m.is_none() {
            verdict.step("--largest-only");
        }
    }
    if let Some(under_m) = result.stand_under_m {
        verdict.find(
            Grade::UsableWithCare,
            format!(
                "something narrow stands {under_m:.2} m high under the hull, which widens suddenly above it: a trestle scanned as one skin with the hull, a deep keel, or twin hulls under a deck"
            ),
        );
        verdict.next.push(format!(
            "if it is a trestle, run mend with --upright --crop-bottom \"{under_m:.3} m\", inspect the result, then mend again with --fill and the numbers of the holes left in the bottom"
        ));
    }
    if let Some(thick) = result.skin_thickness_m {
        verdict.find(
            Grade::MendFirst,
            format!(
                "both sides of the skin are here, about {:.1} mm apart: as it is, it displaces no more than its skin",
                1e3 * thick
            ),
        );
        verdict.step("--outer-skin");
        if result.posture.is_some() {
            verdict.step("--upright");
        }
    }
    if let Some(rough) = result.rough_edges_m {
        verdict.find(
            Grade::UsableWithCare,
            format!(
                "open edges are rough: the roughest scatters {:.1} mm about a smooth curve (standard deviation; corners of a clean edge alone read as up to 0.6 mm), so its lowest point may lie {:.0} mm too low",
                1e3 * rough,
                // The lowest of some hundred corners of normal noise.
                2.5e3 * rough
            ),
        );
        verdict.step("--smooth-rims");
    }
    if let Some(guess) = &result.unit_guess
        && guess.confidence == Confidence::Guess
    {
        verdict.find(
            Grade::UsableWithCare,
            format!(
                "the unit is a guess: {} make it {:.2} m long",
                guess.unit, guess.length_m
            ),
        );
        verdict.next.push(
            "measure the hull's length and give it (--scale-to-length), or give the unit (--mesh-units)".into(),
        );
    }
}

fn judge_lie(result: &InspectResult, verdict: &mut Verdict) {
    let Some(posture) = &result.posture else {
        let why = result.no_posture_because.clone().unwrap_or_default();
        verdict.find(
            Grade::MendFirst,
            format!("it could not be told how it lies: {why}"),
        );
        if result.floor_share.is_none() {
            verdict.next.push(
                if result.flat_edges.is_empty() {
                    "a sound mesh that is not symmetric can be used as it is; half a hull needs a flat cut to be mirrored in, and none was found"
                } else {
                    "if only half of it is there: --mirror cut, or --mirror with the number of the flat part in which it was cut (below, and in the picture, --svg); a sound mesh that is not symmetric can be used as it is"
                }
                .into(),
            );
        }
        return;
    };
    let breadth = result.drawing.bounds.1.y - result.drawing.bounds.0.y;
    let off = posture.plane.nine_tenths_m;
    if off > LOPSIDED_SHARE * breadth {
        verdict.find(
            Grade::MendFirst,
            format!(
                "port and starboard differ by {:.0} mm at one place in ten",
                1e3 * off
            ),
        );
    } else if off > SYMMETRIC_SHARE * breadth {
        verdict.find(
            Grade::UsableWithCare,
            format!(
                "port and starboard differ by {:.1} mm at one place in ten",
                1e3 * off
            ),
        );
    }
    let [normal, middle] = [
        posture.plane.normal,
        Vec3::from(result.least_m) + Vec3::from(result.size_m) / 2.0,
    ];
    let off_m = (posture.plane.offset_m - normal.x * middle.x - normal.z * middle.z) / normal.y;
    if normal.y.abs() > ON_AXIS && off_m.abs() > SYMMETRIC_SHARE / 2.0 * breadth {
        verdict.find(
            Grade::UsableWithCare,
            format!(
                "its centre plane lies {:.0} mm to {} of y = 0, which every study takes for the middle: `origin` in [hull] puts it right, and init writes it",
                1e3 * off_m.abs(),
                if off_m > 0.0 { "port" } else { "starboard" }
            ),
        );
    }
    if posture.off_by_deg > OFF_LEVEL_DEG && !was_placed(result) {
        verdict.find(
            Grade::MendFirst,
            format!(
                "it lies {:.1}° off the boat frame (x forward, y to port, z up)",
                posture.off_by_deg
            ),
        );
        verdict.step("--upright");
    }
    if verdict.steps.contains(&"--upright") {
        for (sure, text) in [
            (
                posture.up,
                "which way is up is a guess: look at the picture (--svg), and add --upside-down if it is wrong",
            ),
            (
                posture.bow,
                "which end is the bow is a guess: look at the picture (--svg), and add --swap-ends if it is wrong",
            ),
        ] {
            if sure == Confidence::Guess {
                verdict.next.push(text.into());
            }
        }
    }
}

/// Whether the hull stands along the axes with its origin aftmost, on the centre
/// plane, lowest, as mending leaves it: then someone said which way it lies.
fn was_placed(result: &InspectResult) -> bool {
    let Some(posture) = &result.posture else {
        return false;
    };
    let turn = posture.turn.matrix();
    let near = AT_ORIGIN_SHARE * result.size_m[0];
    let [x, _, z] = result.least_m;
    (0..3).all(|k| turn[(k, k)].abs() > ON_AXIS) && x.abs() < near && z.abs() < near
}
