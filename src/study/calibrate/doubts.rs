//! What poor geometry costs, and the reading that would cure it.
use super::fit::Agreement;
use super::measured::{FloatMark, Measured};
use super::model::Reading;
use super::{CalibrateNote, Cost, Fitted};
use crate::boat::Boat;
use crate::numerics::Vec3;
use crate::quantity::SPREAD_IN_DEVIATIONS;

/// A geometry is doubted where one better reading would leave this share of a ±.
const WORTH_A_READING: f64 = 0.5;
/// A tip that tells the height well, deg. Common practice, no source.
const GOOD_TIP_DEG: f64 = 15.0;
/// A heel that tells it well and does not wet the deck, deg. Likewise.
const GOOD_HEEL_DEG: f64 = 6.0;
/// A reading this many times its ± off is doubted: three standard deviations.
const MISREAD: f64 = 1.5;

/// Notes on how the readings were taken.
pub(super) fn notes(
    boat: &Boat,
    measured: &Measured,
    fitted: &Fitted<'_>,
    gm_transverse_m: Option<f64>,
) -> Vec<CalibrateNote> {
    let mut notes: Vec<CalibrateNote> = [
        marks(boat, measured, fitted),
        tip(measured, fitted),
        moves(measured, fitted),
    ]
    .into_iter()
    .flatten()
    .collect();
    if let Some(gm) = gm_transverse_m
        && measured.moves.iter().any(|one| one.mass.spread <= 0.0)
    {
        notes.push(CalibrateNote::MovesTakenAsExact {
            z_for_a_percent_m: 0.01 * gm.abs(),
        });
    }
    if let Some(error_m) = boat.scan_error_m.filter(|_| !measured.marks.is_empty()) {
        notes.push(CalibrateNote::ScanErrorLeftOut { error_m });
    }
    notes
}

/// Readings that the corrected boat does not meet within their ±, or that there is none
/// to spare by which it would show.
pub(super) fn misread(readings: &[Reading], agrees: &Agreement) -> Vec<CalibrateNote> {
    if agrees.to_spare == 0 {
        return vec![CalibrateNote::NoReadingToSpare];
    }
    let times = |r: &Reading| ((r.read.value - r.model) / r.read.spread).abs();
    let off = readings.iter().filter(|r| times(r) > MISREAD);
    off.map(|r| CalibrateNote::Misread {
        what: r.what,
        times: times(r),
    })
    .collect()
}

/// What a better way of measuring would leave: the parameter it helps most, its ± now
/// and then. `None` where it helps none by half.
fn cured(fitted: &Fitted<'_>, better: &Measured, of: &[usize]) -> Option<(usize, f64, f64)> {
    let there = fitted.fit.covariance(&fitted.whole, better).ok()?;
    let spread = |of: f64| SPREAD_IN_DEVIATIONS * of.max(0.0).sqrt();
    of.iter()
        .map(|&i| (i, spread(fitted.covariance[(i, i)]), spread(there[(i, i)])))
        .filter(|(_, now, then)| *then <= WORTH_A_READING * now)
        .min_by(|a, b| (a.2 / a.1).total_cmp(&(b.2 / b.1)))
}

fn cost((parameter, now, then): (usize, f64, f64)) -> Cost {
    Cost {
        parameter,
        now,
        then,
    }
}

fn marks(boat: &Boat, measured: &Measured, fitted: &Fitted<'_>) -> Option<CalibrateNote> {
    if measured.marks.is_empty() {
        return None;
    }
    let (lo, hi) = boat.hull_box_m;
    let corners = [(lo.x, lo.y), (lo.x, hi.y), (hi.x, lo.y), (hi.x, hi.y)];
    let corners = corners.map(|(x, y)| Vec3::new(x, y, hi.z));
    let best = corners.iter().filter_map(|corner| {
        let mut better = measured.clone();
        better.marks.push(FloatMark::new(*corner, 0.0));
        Some((corner, cured(fitted, &better, &[0, 1, 2])?))
    });
    let (corner, cure) = best.min_by(|a, b| (a.1.2 / a.1.1).total_cmp(&(b.1.2 / b.1.1)))?;
    Some(CalibrateNote::MarksClose {
        cost: cost(cure),
        one_more_at_m: (*corner).into(),
    })
}

fn tip(measured: &Measured, fitted: &Fitted<'_>) -> Option<CalibrateNote> {
    let mut better = measured.clone();
    let tipped = better.two_scales.as_mut()?.tipped.as_mut()?;
    let now_deg = tipped.angle.value;
    tipped.angle.value = GOOD_TIP_DEG;
    Some(CalibrateNote::TippedTooLittle {
        by_deg: now_deg,
        well_deg: GOOD_TIP_DEG,
        cost: cost(cured(fitted, &better, &[3])?),
    })
}

fn moves(measured: &Measured, fitted: &Fitted<'_>) -> Option<CalibrateNote> {
    let heels = measured.moves.iter().map(|one| one.heel.value.abs());
    let most_deg = heels.reduce(f64::max)?;
    let mut better = measured.clone();
    for one in &mut better.moves {
        one.moved.value *= GOOD_HEEL_DEG / most_deg;
    }
    Some(CalibrateNote::HeeledTooLittle {
        by_deg: most_deg,
        well_deg: GOOD_HEEL_DEG,
        cost: cost(cured(fitted, &better, &[3])?),
    })
}
