//! Hydrostatic curves as small plots over draught.
use super::plot::Plot;
use super::svg::{Anchor, Svg, colour};
use crate::study::{Answer, CurveLine, CurvesResult};

/// One quantity of a line of the curves.
type Value = fn(&CurveLine) -> Option<f64>;

/// Name of each plot, and its quantities: the first is drawn thick, the second
/// thin, so that they differ by more than their colour.
const PLOTS: [(&str, &[(&str, Value)]); 6] = [
    (
        "displacement, kg",
        &[("displacement", |line| {
            Some(line.hydrostatics.displacement_kg)
        })],
    ),
    (
        "areas, m²",
        &[
            ("waterplane (thick)", |line| {
                Some(line.hydrostatics.waterplane_area_m2)
            }),
            ("wetted (thin)", |line| {
                Some(line.hydrostatics.wetted_area_m2)
            }),
        ],
    ),
    (
        "KM across over the base line, m",
        &[("KM across", |line| line.km_transverse_m)],
    ),
    (
        "along the boat, x in m",
        &[
            ("centre of buoyancy (thick)", |line| {
                line.hydrostatics.centre_of_buoyancy_m.map(|at| at[0])
            }),
            ("centre of flotation (thin)", |line| {
                line.hydrostatics.centre_of_flotation_m.map(|at| at[0])
            }),
        ],
    ),
    (
        "mass to sink 1 cm, kg",
        &[("mass", |line| Some(line.mass_to_sink_1_cm_kg))],
    ),
    (
        "moment to pitch 1°, kg·m",
        &[("moment", |line| Some(line.moment_to_pitch_1_deg_kg_m))],
    ),
];
const STROKES: [(&str, f64); 2] = [(colour::MAIN, 3.0), (colour::WORST, 1.2)];

/// The curves in metres and kilograms, whatever the units of the table.
#[must_use]
pub fn curves_svg(result: &Answer<CurvesResult>) -> String {
    let title = format!("{}: hydrostatic curves over draught", result.name);
    let description = format!(
        "six plots over the draught amidships, upright at a pitch of {:.2}°: displacement, areas, metacentre, centres along the boat, mass to sink 1 cm, moment to pitch 1°",
        result.pitch_deg
    );
    let mut svg = Svg::new([860.0, 960.0], &title, &description);
    svg.heading([430.0, 26.0], 16.0, Anchor::Middle, &title);
    if let Some(draught) = result.at_rest_m {
        let words = format!("dashed: as it floats with its load, {draught:.3} m amidships");
        svg.text([430.0, 46.0], 12.0, Anchor::Middle, &words);
    }
    let deepest = result.lines.last().map_or(1.0, |line| line.draught_m);
    for (number, (name, quantities)) in (0_u8..).zip(PLOTS) {
        let corner = [
            70.0 + 420.0 * f64::from(number % 2),
            70.0 + 300.0 * f64::from(number / 2),
        ];
        let runs: Vec<Vec<[f64; 2]>> = quantities
            .iter()
            .map(|(_, value)| {
                let points = result
                    .lines
                    .iter()
                    .filter_map(|line| Some([line.draught_m, value(line)?]));
                points.filter(|[_, value]| value.is_finite()).collect()
            })
            .collect();
        let range = runs
            .iter()
            .flatten()
            .fold([0.0_f64, f64::NEG_INFINITY], |[low, high], [_, value]| {
                [low.min(*value), high.max(*value)]
            });
        let range = if range[1].is_finite() {
            range
        } else {
            [0.0, 1.0]
        };
        let plot = Plot::new(corner, [330.0, 200.0], [0.0, deepest], range);
        plot.axes(&mut svg, "draught amidships, m", name);
        if let Some(draught) = result.at_rest_m.filter(|at| (0.0..=deepest).contains(at)) {
            let ends = range.map(|value| plot.at(draught, value));
            svg.dashes(&ends, colour::INK, 1.4);
        }
        for (run, (stroke, width)) in runs.iter().zip(STROKES) {
            let places: Vec<[f64; 2]> = run.iter().map(|[x, y]| plot.at(*x, *y)).collect();
            svg.polyline(&places, stroke, width, None);
        }
        if quantities.len() > 1 {
            for (row, ((words, _), (stroke, width))) in (0_u8..).zip(quantities.iter().zip(STROKES))
            {
                // Under the plot, beside each other.
                let y = corner[1] + 252.0;
                let x = corner[0] - 20.0 + 190.0 * f64::from(row);
                svg.line([x, y - 4.0], [x + 28.0, y - 4.0], stroke, width)
                    .text([x + 34.0, y], 11.0, Anchor::Start, words);
            }
        }
    }
    svg.finish()
}
