//! Hydrostatic curves as small plots over draught.
use super::plot::Plot;
use super::svg::{Anchor, Svg, colour};
use crate::quantity::{Dimension, Metric, UnitSystem, bare_unit, show};
use crate::study::{Answer, CurveLine, CurvesResult};

/// One quantity of a line of the curves.
type Value = fn(&CurveLine) -> Option<f64>;

/// One plot: its name with the unit, how many of that go into one base unit, and its
/// quantities: the first is drawn thick, the second thin, so that they differ by more than
/// their colour.
type PlotOf = (
    fn(UnitSystem) -> (String, f64),
    &'static [(&'static str, Value)],
);

fn named(name: &str, metric: Metric, units: UnitSystem) -> (String, f64) {
    let (unit, per_base) = bare_unit(metric, units);
    (format!("{name}{unit}"), per_base)
}

/// Centimetres in the inch that the mass to sink is told of in US units.
const CM_PER_INCH: f64 = 2.54;

const PLOTS: [PlotOf; 6] = [
    (
        |units| named("displacement, ", Metric::Kilogram, units),
        &[("displacement", |line| {
            Some(line.hydrostatics.displacement_kg)
        })],
    ),
    (
        |units| named("areas, ", Metric::SquareMetre, units),
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
        |units| named("KM across over the base line, ", Metric::Metre, units),
        &[("KM across", |line| line.km_transverse_m)],
    ),
    (
        |units| named("along the boat, x in ", Metric::Metre, units),
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
        |units| match units {
            UnitSystem::Us => {
                let (name, per_kg) = named("mass to sink 1 in, ", Metric::Kilogram, units);
                (name, per_kg * CM_PER_INCH)
            }
            _ => named("mass to sink 1 cm, ", Metric::Kilogram, units),
        },
        &[("mass", |line| Some(line.mass_to_sink_1_cm_kg))],
    ),
    (
        |units| {
            let (name, per_kg) = named("moment to pitch 1°, ", Metric::Kilogram, units);
            let (metre, per_m) = bare_unit(Metric::Metre, units);
            (format!("{name}·{metre}"), per_kg * per_m)
        },
        &[("moment", |line| Some(line.moment_to_pitch_1_deg_kg_m))],
    ),
];
const STROKES: [(&str, f64); 2] = [(colour::MAIN, 3.0), (colour::WORST, 1.2)];

/// The curves.
#[must_use]
pub fn curves_svg(result: &Answer<CurvesResult>, units: UnitSystem) -> String {
    let title = format!("{}: hydrostatic curves over draught", result.name);
    let description = format!(
        "six plots over the draught amidships, upright at a pitch of {:.2}°: displacement, areas, metacentre, centres along the boat, mass to sink it, moment to pitch 1°",
        result.pitch_deg
    );
    let mut svg = Svg::new([860.0, 960.0], &title, &description);
    svg.heading([430.0, 26.0], 16.0, Anchor::Middle, &title);
    if let Some(draught) = result.at_rest_m {
        let words = format!(
            "dashed: as it floats with its load, {} amidships",
            show(draught, Dimension::Length, units)
        );
        svg.text([430.0, 46.0], 12.0, Anchor::Middle, &words);
    }
    let (metre, per_m) = bare_unit(Metric::Metre, units);
    let deepest = result.lines.last().map_or(1.0, |line| line.draught_m) * per_m;
    for (number, (named, quantities)) in (0_u8..).zip(PLOTS) {
        let (name, per_base) = named(units);
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
                    .filter_map(|line| Some([line.draught_m * per_m, value(line)? * per_base]));
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
        plot.axes(&mut svg, &format!("draught amidships, {metre}"), &name);
        let at_rest = result.at_rest_m.map(|at| at * per_m);
        if let Some(draught) = at_rest.filter(|at| (0.0..=deepest).contains(at)) {
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
