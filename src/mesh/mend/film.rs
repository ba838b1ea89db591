//! A hole in a smooth skin filled as fair as the skin round it.
use std::collections::HashMap;

use super::super::cap::triangulate_ring;
use super::super::doubt::id;
use super::super::surface::Surface;
use super::floor::Floor;
use super::plate::Plate;
use crate::numerics::Vec3;

/// A sharp bottom holds less than a round one by this share of what hangs under the edge of
/// what the floor hid: half of its depth against two thirds.
const SHARPER: f64 = 0.25;
/// Rounds of easing the ring's edge, more where it still crosses itself.
const EASING: [usize; 3] = [6, 20, 60];
/// A film: new places of the ring's corners, further corners, and triangles.
pub(super) struct Film {
    pub(super) ring: Vec<Vec3>,
    pub(super) inner: Vec<Vec3>,
    pub(super) faces: Vec<[u32; 3]>,
    /// How much the volume under it may be off, ± m³: by what films with much less pull and
    /// much more hold.
    pub(super) volume_error_m3: f64,
}

/// Closes a ring of vertices, whose faces lie to its left, by a thin plate that
/// runs on smoothly from the skin round it; `None` where that skin is no height
/// over the ring's plane, or the ring crosses itself. Its ragged edge is eased
/// along the plate, so that it can be closed at all.
///
/// Over a floor that hid it, the plate lies nowhere under the floor and touches it, since a
/// hull touches what it stands on.
pub(super) fn fair(surface: &Surface, ring: &[u32], floor: Option<&Floor>) -> Option<Film> {
    let mut points: Vec<Vec3> = ring.iter().map(|v| surface.vertices[*v as usize]).collect();
    let plate = Plate::over(surface, &points, floor)?;
    let count = id(points.len());
    let mut closed = None;
    for rounds in EASING {
        points = eased(points, rounds);
        for p in &mut points {
            *p = plate.lifted(p);
        }
        let (triangles, trusted) = triangulate_ring(&points, |_, _| false);
        if trusted {
            closed = Some(triangles);
            break;
        }
    }
    let triangles = closed?;
    // The ring runs along the skin's own edges: the film runs the other way.
    let turned = triangles.into_iter().map(|[a, b, c]| [a, c, b]).collect();
    let mut film = Surface {
        vertices: points.clone(),
        faces: turned,
    };
    refine(&mut film, 1.5 * plate.cell_m, false);
    let inner: Vec<Vec3> = film.vertices[count as usize..]
        .iter()
        .map(|p| plate.lifted(p))
        .collect();
    // One that does not settle tells nothing of the doubt. The loosest lies on a floor that
    // is lower by what went with it.
    let lower_m = floor.map_or(0.0, |floor| floor.reach_m);
    let others = plate.laying.doubted.iter().zip([lower_m, 0.0]);
    let others = others.filter_map(|(tension, lower_m)| {
        let ground = plate.floor.as_ref().map(|ground| ground.lower(lower_m));
        plate.bent(*tension, ground.as_ref())
    });
    let apart = others.map(|height| plate.volume_to(&height, &film).abs());
    let mut volume_error_m3 = apart.reduce(f64::hypot)?;
    if let Some(ground) = &plate.floor {
        let hanging_m3 = plate.hanging_m3(&film, points.len(), ground);
        volume_error_m3 = volume_error_m3.hypot(SHARPER * hanging_m3.abs());
    }
    let shift = id(surface.vertices.len()) - count;
    let numbered = film.faces.iter().map(|face| {
        face.map(|v| {
            if v < count {
                ring[v as usize]
            } else {
                v + shift
            }
        })
    });
    Some(Film {
        faces: numbered.collect(),
        ring: points,
        inner,
        volume_error_m3,
    })
}

/// Corners drawn toward the middle of their neighbours, so many times.
fn eased(mut points: Vec<Vec3>, rounds: usize) -> Vec<Vec3> {
    let count = points.len();
    for _ in 0..rounds {
        points = (0..count)
            .map(|k| {
                let beside = points[(k + count - 1) % count] + points[(k + 1) % count];
                points[k] / 2.0 + beside / 4.0
            })
            .collect();
    }
    points
}

/// Splits edges longer than this, the longest first, m: inner ones, or those of the border too.
pub(super) fn refine(film: &mut Surface, longest_m: f64, with_border: bool) {
    for _ in 0..40 {
        let mut sides: HashMap<(u32, u32), Vec<usize>> = HashMap::new();
        for (face, &[a, b, c]) in film.faces.iter().enumerate() {
            for (a, b) in [(a, b), (b, c), (c, a)] {
                sides.entry((a.min(b), a.max(b))).or_default().push(face);
            }
        }
        let length =
            |(a, b): (u32, u32)| (film.vertices[a as usize] - film.vertices[b as usize]).norm();
        let mut long: Vec<(f64, (u32, u32))> = sides
            .iter()
            .filter(|(_, faces)| with_border || faces.len() == 2)
            .map(|(edge, _)| (length(*edge), *edge))
            .filter(|(length, _)| *length > longest_m)
            .collect();
        if long.is_empty() {
            return;
        }
        long.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut touched = vec![false; film.faces.len()];
        for (_, (a, b)) in long {
            let faces = &sides[&(a, b)];
            if faces.iter().any(|f| touched[*f]) {
                continue;
            }
            let middle = (film.vertices[a as usize] + film.vertices[b as usize]) / 2.0;
            let new = id(film.vertices.len());
            film.vertices.push(middle);
            for &face in faces {
                touched[face] = true;
                let with = |old: u32| film.faces[face].map(|v| if v == old { new } else { v });
                let (first, second) = (with(a), with(b));
                film.faces[face] = first;
                film.faces.push(second);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::check::examine;
    use super::*;
    use crate::mesh::solids;

    /// A hole of radius a in a ball of radius 1: a straight cap lies
    /// 1 − √(1 − a²) too low in its middle.
    #[test]
    fn a_film_over_a_hole_in_a_ball_is_nearer_to_it_than_a_straight_cap() {
        let mut ball = solids::icosphere(Vec3::zeros(), 1.0, 5);
        let vertices = ball.vertices.clone();
        let top = Vec3::new(0.3, 0.4, 0.86).normalize();
        let radius = 0.3;
        ball.faces.retain(|face| {
            face.iter().any(|v| {
                vertices[*v as usize].cross(&top).norm() > radius
                    || vertices[*v as usize].dot(&top) < 0.0
            })
        });
        let ring = examine(&ball).loops[0].vertices.clone();
        let film = fair(&ball, &ring, None).expect("a height over its plane");
        let sag = 1.0 - (1.0 - radius * radius).sqrt();
        for p in &film.inner {
            assert!((p.norm() - 1.0).abs() < sag / 2.0, "{}", p.norm());
        }
        for (v, place) in ring.iter().zip(&film.ring) {
            ball.vertices[*v as usize] = *place;
        }
        ball.vertices.extend(film.inner);
        ball.faces.extend(film.faces);
        assert!(ball.is_balanced());
        // 4π/3 less what the ball's own facets cut off.
        let whole = solids::icosphere(Vec3::zeros(), 1.0, 5).signed_volume_m3();
        assert!((ball.signed_volume_m3() / whole - 1.0).abs() < 1e-3);
    }

    /// Height of a bottom over the floor at x and y, m.
    type Bottom = fn(f64, f64) -> f64;

    /// Heights over the floor at a place, m: a bottom flat from side to side and turned up in
    /// a bilge, a round one and a V, each with a keel of some rocker or none.
    fn bottoms() -> Vec<(&'static str, Bottom)> {
        fn bilge(y: f64) -> f64 {
            let past = (y.abs() - 0.15).max(0.0);
            0.3 - (0.3_f64.powi(2) - past.powi(2)).sqrt()
        }
        vec![
            ("flat", |x, y| {
                bilge(y) + 0.3 * (x.abs() - 1.2).max(0.0).powi(2)
            }),
            ("flat, rocker", |x, y| bilge(y) + 0.01 * x * x),
            ("round", |x, y| 0.9 * y * y + 0.012 * x * x),
            ("round, little rocker", |x, y| 0.5 * y * y + 0.005 * x * x),
            ("V", |x, y| 0.2 * y.abs() + 0.01 * x * x),
            ("V, no rocker", |x, y| {
                0.12 * y.abs() + 0.2 * (x.abs() - 1.2).max(0.0).powi(2)
            }),
        ]
    }

    /// What of a bottom lies under a height hidden by a floor, and noise on the rest: how much
    /// too little or too much the film holds, as a mean height over what was hidden, mm, and
    /// its ± likewise.
    fn off_mm(bottom: fn(f64, f64) -> f64, hidden_m: f64, noise_m: f64, on: bool) -> [f64; 2] {
        const STEP_M: f64 = 0.012;
        let mut random = fastrand::Rng::with_seed(3);
        let mut normal = || (0..12).map(|_| random.f64()).sum::<f64>() - 6.0;
        let (columns, rows) = (250_u32, 68_u32);
        let mut surface = Surface::default();
        let mut high = Vec::new();
        for i in 0..columns {
            for j in 0..rows {
                let x = (f64::from(i) - f64::from(columns - 1) / 2.0) * STEP_M;
                let y = (f64::from(j) - f64::from(rows - 1) / 2.0) * STEP_M;
                let z = bottom(x, y);
                high.push(z > hidden_m);
                let place = Vec3::new(x, y, z);
                let noise = Vec3::new(normal(), normal(), normal()) * noise_m;
                surface.vertices.push(place + noise);
            }
        }
        for i in 1..columns {
            for j in 1..rows {
                let at = |i: u32, j: u32| i * rows + j;
                let [a, b, c, d] = [at(i - 1, j - 1), at(i, j - 1), at(i, j), at(i - 1, j)];
                for face in [[a, c, b], [a, d, c]] {
                    if face.iter().all(|v| high[*v as usize]) {
                        surface.faces.push(face);
                    }
                }
            }
        }
        let loops = examine(&surface).loops;
        let hole = loops
            .iter()
            .filter(|ring| {
                let corners = ring.vertices.iter();
                let mut places = corners.map(|v| surface.vertices[*v as usize]);
                places.all(|p| p.x.abs() < 1.47)
            })
            .max_by(|a, b| a.area_m2.total_cmp(&b.area_m2));
        let ring = hole.expect("a hole").vertices.clone();
        let floor = Floor {
            normal: Vec3::z(),
            offset_m: 0.0,
            reach_m: 0.0015,
        };
        let film = fair(&surface, &ring, on.then_some(&floor)).expect("a film");
        let mut places = film.ring.clone();
        places.extend(&film.inner);
        let count = id(film.ring.len());
        let shift = id(surface.vertices.len()) - count;
        let number = |v: u32| {
            let on_ring = ring.iter().position(|r| *r == v);
            on_ring.unwrap_or_else(|| (v - shift) as usize)
        };
        let (mut volume, mut area) = (0.0, 0.0);
        for face in &film.faces {
            let [a, b, c] = face.map(|v| places[number(v)]);
            let plan = ((b - a).cross(&(c - a))).z.abs() / 2.0;
            let under: f64 = [a, b, c].iter().map(|p| bottom(p.x, p.y) - p.z).sum();
            volume += plan * under / 3.0;
            area += plan;
        }
        [1e3 * volume / area, 1e3 * film.volume_error_m3 / area]
    }

    /// Without the floor the same films lie up to 12 mm off.
    #[test]
    fn what_a_floor_hid_goes_down_to_the_floor() {
        for (name, bottom) in bottoms() {
            for (hidden_m, noise_m) in [(0.004, 0.0008), (0.008, 0.0008), (0.008, 0.002)] {
                let [off, error] = off_mm(bottom, hidden_m, noise_m, true);
                let told = format!(
                    "{name}, {hidden_m} hidden, noise {noise_m}: {off:+.2} ± {error:.2} mm"
                );
                eprintln!("{told}");
                assert!(off.abs() < error.min(0.2e3 * hidden_m), "{told}");
            }
        }
        let (_, flat) = bottoms()[0];
        let [free, _] = off_mm(flat, 0.008, 0.0008, false);
        assert!(free.abs() > 5.0, "{free}");
    }
}
