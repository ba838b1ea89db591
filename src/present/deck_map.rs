//! Maps of the deck from above: a shade and a number in each place, within the outline.
use super::Present;
use super::craft_svg::sign;
use super::plot::{number, round_values};
use super::say::{Bare, one_system};
use super::svg::{Anchor, Marks, Svg, colour, extent};
use super::yardsticks::{To, limits};
use crate::quantity::{Dimension, Metric, UnitSystem, show, show_beside, show_in};
use crate::study::{Answer, HullFrame, LoadEnd, MarginsResult, PlaceCell, PlaceResult, Verdict};

/// Size of a place in the drawing.
const CELL: [f64; 2] = [66.0, 38.0];
/// Room round the map: to the left for the numbers of its axis.
const LEFT: f64 = 62.0;
const RIGHT: f64 = 30.0;
const TOP: f64 = 104.0;
const LEAST_WIDTH: f64 = 560.0;
/// Shades from the least value to the most: dark text stays readable on both.
const PALEST: f64 = 0.06;
const DARKEST: f64 = 0.6;
/// Share of a step by which places of one grid differ by rounding.
const EVEN: f64 = 1e-6;

/// One place of a map.
#[derive(Clone, Copy)]
struct Cell {
    at_m: [f64; 2],
    value: f64,
    /// Before and after the number.
    sign: &'static str,
    mark: &'static str,
    /// Striped, as a yardstick fails there.
    fails: bool,
}

/// A map's words, its cells, and what else is marked on it.
struct Map<'a> {
    id: &'a str,
    title: String,
    description: String,
    how: &'a str,
    cells: Vec<Cell>,
    outline_m: &'a [[f64; 2]],
    frame: HullFrame,
    /// Places with a word under their number, which is their own and not that of the
    /// middle of the cell that they lie in.
    noted: Vec<(Cell, &'static str)>,
}

/// The extra mass that each place of the craft carries before an opening is awash,
/// or, with a star, before it turns over.
#[must_use]
pub fn load_svg(result: &Answer<MarginsResult>, units: UnitSystem) -> String {
    let cells: Vec<Cell> = result
        .load
        .iter()
        .filter_map(|line| {
            Some(Cell {
                at_m: [line.at_m[0], line.at_m[1]],
                value: line.mass_kg?,
                sign: "",
                mark: match line.end {
                    LoadEnd::TurnsOver => " *",
                    _ => "",
                },
                fails: false,
            })
        })
        .collect();
    let most = cells.iter().max_by(|a, b| a.value.total_cmp(&b.value));
    let least = cells.iter().min_by(|a, b| a.value.total_cmp(&b.value));
    let stands = load_stands(result, one_system(units)).unwrap_or_default();
    let noted = [(most, "most"), (least, "least")];
    let noted = noted.map(|(cell, word)| cell.map(|cell| (*cell, word)));
    let noted: Vec<(Cell, &str)> = noted.into_iter().flatten().collect();
    Map {
        id: "load-map",
        title: format!(
            "{}: extra mass until an opening is awash (*: until it turns over)",
            result.name
        ),
        description: loads_in_words(&noted, &stands, units),
        how: &format!("from above, bow to the right, port up; the darker the more; {stands}"),
        noted,
        cells,
        outline_m: &result.outline_m,
        frame: result.frame,
    }
    .drawn(units, &|kg| show(kg, Dimension::Mass, one_system(units)))
}

/// At what height the extra mass of [`load_svg`] stands; `None` without a place.
pub(super) fn load_stands(result: &MarginsResult, units: UnitSystem) -> Option<String> {
    let [.., z_m] = result.load.first()?.at_m;
    let height = show(z_m, Dimension::Length, units);
    Some(format!("the load's weight is at z {height} everywhere"))
}

/// The most and least of a load map and where they stand, in a sentence.
fn loads_in_words(noted: &[(Cell, &str)], stands: &str, units: UnitSystem) -> String {
    let one = one_system(units);
    let told = noted.iter().map(|(cell, word)| {
        let [x, y] = cell.at_m.map(|m| show_in(m, Metric::Metre, 2, one));
        let mass = show(cell.value, Dimension::Mass, one);
        let over = if cell.mark.is_empty() {
            ""
        } else {
            ", then it turns over"
        };
        format!("{word} {mass} at x {x}, y {y}{over}")
    });
    let told: Vec<String> = told.collect();
    let told = if told.is_empty() {
        "no place has a number".to_owned()
    } else {
        told.join("; ")
    };
    format!("The greatest extra mass at each place of the deck: {told}; {stands}.")
}

/// The lowest sill with the item in each place.
#[must_use]
pub fn place_svg(result: &Answer<PlaceResult>, units: UnitSystem) -> String {
    let cell = |place: &PlaceCell| {
        Some(Cell {
            at_m: [place.at_m[0], place.at_m[1]],
            value: place.lowest_sill_m?,
            sign: sign(Some(place.verdict)),
            mark: "",
            fails: place.verdict == Verdict::Fail,
        })
    };
    let cells: Vec<Cell> = result.cells.iter().filter_map(cell).collect();
    let mut noted = vec![(cell(&result.now), "now")];
    if let Some(best) = result.best.as_ref().filter(|_| result.worth_moving) {
        let word = if best.fails.is_empty() {
            "best"
        } else {
            "nearest"
        };
        noted.push((cell(best), word));
    }
    let noted = noted.into_iter();
    let noted = noted.filter_map(|(cell, word)| Some((cell?, word)));
    let sills = limits(&result.yardsticks, To::Sill);
    Map {
        id: "place-map",
        title: format!("{}: lowest sill with {} there", result.name, result.item),
        description: result.summary(units),
        how: "from above, bow to the right, port up; the darker the higher; by the yardsticks for sill, knock, lean and heel ✓ clear, ! marginal, ✕ and stripes fails",
        cells,
        outline_m: &result.outline_m,
        frame: result.frame,
        noted: noted.collect(),
    }
    .drawn(units, &|height| {
        show_beside(height, &sills, Dimension::Length, one_system(units))
    })
}

/// Even places along one axis.
struct Axis {
    first: f64,
    step: f64,
    count: f64,
}

impl Axis {
    /// Both axes: one with a single row has the other's step.
    fn both(cells: &[Cell]) -> [Self; 2] {
        let mut axes = [0, 1].map(|axis| Self::of(cells, axis));
        for (row, other) in [(0, 1), (1, 0)] {
            if axes[row].count < 1.5 && axes[other].count > 1.5 {
                axes[row].step = axes[other].step;
            }
        }
        axes
    }

    fn of(cells: &[Cell], axis: usize) -> Self {
        let mut places: Vec<f64> = cells.iter().map(|cell| cell.at_m[axis]).collect();
        places.sort_by(f64::total_cmp);
        // Places of one row differ by rounding only.
        places.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        let first = places.first().copied().unwrap_or(0.0);
        let last = places.last().copied().unwrap_or(0.0);
        let step = places.windows(2).map(|pair| pair[1] - pair[0]);
        let step = step.reduce(f64::min).unwrap_or(1.0);
        Self {
            first,
            step,
            count: ((last - first) / step).round() + 1.0,
        }
    }

    /// How many places from the first one's edge a coordinate lies.
    fn at(&self, coordinate: f64) -> f64 {
        (coordinate - self.first) / self.step + 0.5
    }
}

/// Writes a cell's number in its middle, or what is noted there.
fn label_cell(
    svg: &mut Svg,
    [x, y]: [f64; 2],
    cell: &Cell,
    noted: &[(Cell, &str)],
    say: &dyn Fn(f64) -> String,
) {
    let label = |cell: &Cell| format!("{} {}{}", cell.sign, say(cell.value), cell.mark);
    if !noted.is_empty() {
        let corner = [x - CELL[0] / 2.0 + 1.0, y - CELL[1] / 2.0 + 1.0];
        svg.rectangle(corner, CELL.map(|v| v - 2.0), colour::INK, None);
    }
    let mut write = |down: f64, height: f64, words: &str| {
        svg.text_over([x, y + down], height, Anchor::Middle, words.trim());
    };
    match noted {
        [] => write(4.0, 11.0, &label(cell)),
        [(noted, word)] => {
            write(-2.0, 11.0, &label(noted));
            write(13.0, 12.0, word);
        }
        several => {
            for (line, (noted, word)) in several.iter().enumerate() {
                let down = -4.0 + 14.0 * line as f64;
                write(down, 9.0, &format!("{word} {}", label(noted).trim()));
            }
        }
    }
}

impl Map<'_> {
    fn drawn(&self, units: UnitSystem, say: &dyn Fn(f64) -> String) -> String {
        let axes = Axis::both(&self.cells);
        let from_corner = |[x, y]: [f64; 2]| {
            [
                axes[0].at(x) * CELL[0],
                (axes[1].count - axes[1].at(y)) * CELL[1],
            ]
        };
        // The outline may reach farther aft and to port than the places.
        let beyond = self.outline_m.iter().map(|p| from_corner(*p));
        let [left, _, top, _] = extent(beyond.chain([[0.0; 2]]));
        let place = |p: [f64; 2]| {
            let [x, y] = from_corner(p);
            [LEFT - left + x, TOP - top + y]
        };
        let outline: Vec<[f64; 2]> = self.outline_m.iter().map(|p| place(*p)).collect();
        // The outline reaches past the middles of the outermost places.
        let low = outline.iter().map(|p| p[1]);
        let low = low.fold(TOP - top + axes[1].count * CELL[1], f64::max);
        let right = outline.iter().map(|p| p[0]);
        let right = right.fold(LEFT - left + axes[0].count * CELL[0], f64::max);
        let width = (right + RIGHT).max(LEAST_WIDTH);
        let mut svg = Svg::new([width, low + 44.0], &self.title, &self.description);
        svg.pattern("map-fails", 8.0, "white", Marks::Stripes("#cf7a50"))
            .heading([14.0, 26.0], 16.0, Anchor::Start, &self.title);
        svg.paragraph([14.0, 48.0], 12.0, width - 28.0, self.how);
        if outline.len() > 2 {
            svg.clip(self.id, &outline);
        }
        let values = self.cells.iter().map(|cell| cell.value);
        let least = values.clone().fold(f64::INFINITY, f64::min);
        let most = values.fold(f64::NEG_INFINITY, f64::max);
        // What is shown of each cell: what is noted in it, or the cell's own.
        let lies_in = |noted: &Cell, cell: &Cell| {
            (0..2).all(|k| (noted.at_m[k] - cell.at_m[k]).abs() <= (0.5 + EVEN) * axes[k].step)
        };
        let noted_in = |cell: &Cell| -> Vec<(Cell, &str)> {
            let noted = self.noted.iter().filter(|(noted, _)| lies_in(noted, cell));
            noted.copied().collect()
        };
        for cell in &self.cells {
            let [x, y] = place(cell.at_m);
            let corner = [x - CELL[0] / 2.0, y - CELL[1] / 2.0];
            let shown = noted_in(cell).first().map_or(*cell, |(noted, _)| *noted);
            let share = (shown.value - least) / (most - least).max(f64::MIN_POSITIVE);
            let shade = PALEST + (DARKEST - PALEST) * share.clamp(0.0, 1.0);
            if shown.fails {
                svg.rectangle(corner, CELL, "none", Some(("url(#map-fails)", 1.0)));
            }
            svg.rectangle(corner, CELL, "white", Some((colour::MAIN, shade)));
        }
        if outline.len() > 2 {
            svg.unclip();
            let closed: Vec<[f64; 2]> = outline.iter().chain(outline.first()).copied().collect();
            svg.polyline(&closed, colour::INK, 1.6, None);
        }
        for cell in &self.cells {
            label_cell(&mut svg, place(cell.at_m), cell, &noted_in(cell), say);
        }
        self.axes(&mut svg, Bare::of(Metric::Metre, units), low, &place);
        if self.cells.is_empty() {
            svg.text([14.0, TOP], 14.0, Anchor::Start, "No place has a number.");
        }
        for (noted, word) in &self.noted {
            if !self.cells.iter().any(|cell| lies_in(noted, cell)) {
                let [x, y] = noted
                    .at_m
                    .map(|m| show_in(m, Metric::Metre, 2, one_system(units)));
                svg.foot_note(&format!(
                    "{word} lies off the numbered places, at x {x}, y {y}: {} {}",
                    noted.sign,
                    say(noted.value)
                ));
            }
        }
        svg.foot_note(&self.frame.in_words(units));
        svg.finish()
    }

    /// Round x under the map, round y beside it.
    fn axes(&self, svg: &mut Svg, bare: Bare, low: f64, place: &dyn Fn([f64; 2]) -> [f64; 2]) {
        let reach = |axis: usize| {
            let all = || self.outline_m.iter().map(|p| p[axis]);
            Some([all().reduce(f64::min)?, all().reduce(f64::max)?])
        };
        let (Some(x), Some(y)) = (reach(0), reach(1)) else {
            return;
        };
        // Round in the unit shown.
        let per_m = bare.value(1.0);
        for value in round_values(x.map(|x| x * per_m)) {
            let [at, _] = place([value / per_m, 0.0]);
            svg.line([at, low + 4.0], [at, low + 10.0], colour::INK, 1.0)
                .text([at, low + 23.0], 11.0, Anchor::Middle, &number(value));
        }
        let [end, _] = place([x[1], 0.0]);
        svg.text(
            [end, low + 39.0],
            12.0,
            Anchor::End,
            &format!("x, {}", bare.unit),
        );
        let mut name = TOP - 14.0;
        for value in round_values(y.map(|y| y * per_m)) {
            let [_, at] = place([0.0, value / per_m]);
            // Over the topmost number.
            name = name.min(at - 12.0);
            svg.line([LEFT - 14.0, at], [LEFT - 8.0, at], colour::INK, 1.0)
                .text([LEFT - 18.0, at + 4.0], 11.0, Anchor::End, &number(value));
        }
        svg.text(
            [LEFT - 18.0, name],
            12.0,
            Anchor::End,
            &format!("y, {}", bare.unit),
        );
    }
}
