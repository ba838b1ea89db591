//! The tables of sections.
use std::iter::once;

use super::cell::{angle, area, cells, fixed, length, point_or_none, volume};
use super::slice::height_on_z;
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, PanelFace, PanelLine, SectionLine, SectionResult};

impl Present for Answer<SectionResult> {
    fn summary(&self, _units: UnitSystem) -> String {
        let told = "Sections of the outside of the skin.".to_owned();
        told_first(self.as_it_lies.as_ref(), told)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        if let Some(water) = &self.water {
            let from_stations = self.volume_from_stations_m3;
            let from_stations =
                from_stations.map_or_else(|| "give --stations \"41 even\"".into(), volume);
            sheet
                .heading("Water that areas are taken under")
                .value("heel, starboard down +", angle(water.heel_deg))
                .value("pitch, bow up +", angle(water.pitch_deg))
                .value(
                    "waterline height on the z axis",
                    height_on_z(water.waterline_height_m),
                )
                .value("displaced volume", volume(water.displaced_volume_m3))
                .value("the same from the stations' areas", from_stations);
        }
        for (name, axis, lines) in [
            ("Stations, across x", "x", &self.stations),
            ("Waterlines, across z", "z", &self.waterlines),
            ("Buttocks, across y", "y", &self.buttocks),
        ] {
            if lines.is_empty() {
                continue;
            }
            let rows = lines.iter().map(line_cells);
            sheet.heading(name).grid(
                &[
                    axis,
                    "loops",
                    "area",
                    "centroid x, y, z",
                    "girth of skin",
                    "port",
                    "starboard",
                    "area under water",
                    "girth under water",
                ],
                rows,
            );
            let panels = lines.iter().filter_map(|line| line.panel.as_ref());
            let mut panels = panels.map(panel_cells).peekable();
            if panels.peek().is_some() {
                sheet.heading("The panel that fits there").grid(
                    &[
                        "first face",
                        "its area",
                        "second face",
                        "its area",
                        "cut square, no bevel",
                        "bevel",
                    ],
                    panels,
                );
            }
        }
        if !self.half_breadths.is_empty() {
            half_breadths(&mut sheet, self);
        }
        sheet.wary_of(self)
    }
}

fn line_cells(line: &SectionLine) -> Vec<Cell> {
    cells![
        length(line.at_m),
        fixed(line.loops.len()),
        area(line.area_m2),
        point_or_none(line.centroid_m),
        length(line.girth_m),
        line.port_m.map(length),
        line.starboard_m.map(length),
        line.immersed_area_m2.map(area),
        line.wetted_girth_m.map(length),
    ]
}

fn panel_cells(panel: &PanelLine) -> Vec<Cell> {
    let [first, second] = &panel.faces;
    let bevels = || panel.bevels.iter().map(|bevel| bevel.bevel_deg);
    let ends = bevels().reduce(f64::min).zip(bevels().reduce(f64::max));
    let place = |face: &PanelFace| Cell::from(face.name) + " at " + length(face.at_m);
    cells![
        place(first),
        area(first.area_m2),
        place(second),
        area(second.area_m2),
        area(panel.square_edged_area_m2),
        ends.map(|(low, high)| fixed(format!("{low:.0} to {high:.0}°"))),
    ]
}

/// A row a station, a column a waterline; one number where both sides are alike
/// to the printed digit.
fn half_breadths(sheet: &mut Sheet, result: &SectionResult) {
    let waterlines = result.waterlines.iter();
    let heights = waterlines.map(|line| format!("z {}", length(line.at_m).text(sheet.units)));
    let header: Vec<String> = once("station x".to_owned()).chain(heights).collect();
    let units = sheet.units;
    let rows = result.stations.iter().map(|station| {
        let cell = |waterline: &SectionLine| {
            let mut list = result.half_breadths.iter();
            let found =
                list.find(|at| at.station_m == station.at_m && at.waterline_m == waterline.at_m);
            Cell::from(found.map(|at| {
                let (port, starboard) = (length(at.port_m), length(at.starboard_m));
                if port.text(units) == starboard.text(units) {
                    port
                } else {
                    port.joined(" / ", starboard)
                }
            }))
        };
        once(length(station.at_m)).chain(result.waterlines.iter().map(cell))
    });
    sheet
        .heading("Half-breadths outside the skin, from the middle plane (port / starboard where they differ)")
        .grid(&header, rows);
}
