//! The tables of sections.
use super::doubts::doubts;
use super::slice::{height_on_z, point};
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, PanelLine, SectionLine, SectionResult};

impl Present for Answer<SectionResult> {
    fn summary(&self, _units: UnitSystem) -> String {
        let told = "Sections of the outside of the skin.".to_owned();
        told_first(self.as_it_lies.as_ref(), told)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        if let Some(water) = &self.water {
            sheet.heading("Water that areas are taken under").values([
                (
                    "heel, starboard down +",
                    show(water.heel_deg, Dimension::Angle, units),
                ),
                (
                    "pitch, bow up +",
                    show(water.pitch_deg, Dimension::Angle, units),
                ),
                (
                    "waterline height on the z axis",
                    height_on_z(water.waterline_height_m, units),
                ),
                (
                    "displaced volume",
                    show(water.displaced_volume_m3, Dimension::Volume, units),
                ),
                (
                    "the same from the stations' areas",
                    self.volume_from_stations_m3.map_or_else(
                        || "give --stations \"41 even\"".to_owned(),
                        |volume| show(volume, Dimension::Volume, units),
                    ),
                ),
            ]);
        }
        for (name, axis, lines) in [
            ("Stations, across x", "x", &self.stations),
            ("Waterlines, across z", "z", &self.waterlines),
            ("Buttocks, across y", "y", &self.buttocks),
        ] {
            if lines.is_empty() {
                continue;
            }
            let rows = lines.iter().map(|line| cells(line, units)).collect();
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
            let panels: Vec<Vec<String>> = lines
                .iter()
                .filter_map(|line| line.panel.as_ref())
                .map(|panel| panel_cells(panel, units))
                .collect();
            if !panels.is_empty() {
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
            half_breadths(&mut sheet, self, units);
        }
        sheet.doubts(doubts(&self.doubts, units));
        sheet
    }
}

fn cells(line: &SectionLine, units: UnitSystem) -> Vec<String> {
    let length = |value: f64| show(value, Dimension::Length, units);
    let area = |value: f64| show(value, Dimension::Area, units);
    let maybe = |value: Option<String>| value.unwrap_or_default();
    vec![
        length(line.at_m),
        line.loops.len().to_string(),
        area(line.area_m2),
        point(line.centroid_m, units),
        length(line.girth_m),
        maybe(line.port_m.map(length)),
        maybe(line.starboard_m.map(length)),
        maybe(line.immersed_area_m2.map(area)),
        maybe(line.wetted_girth_m.map(length)),
    ]
}

fn panel_cells(panel: &PanelLine, units: UnitSystem) -> Vec<String> {
    let area = |value: f64| show(value, Dimension::Area, units);
    let [first, second] = &panel.faces;
    let bevels = || panel.bevels.iter().map(|bevel| bevel.bevel_deg);
    let bevel = bevels()
        .reduce(f64::min)
        .zip(bevels().reduce(f64::max))
        .map_or_else(String::new, |(low, high)| format!("{low:.0} to {high:.0}°"));
    let place = |face: &crate::study::PanelFace| {
        format!(
            "{} at {}",
            face.name,
            show(face.at_m, Dimension::Length, units)
        )
    };
    vec![
        place(first),
        area(first.area_m2),
        place(second),
        area(second.area_m2),
        area(panel.square_edged_area_m2),
        bevel,
    ]
}

/// A row a station, a column a waterline; one number where both sides are alike
/// to the printed digit.
fn half_breadths(sheet: &mut Sheet, result: &SectionResult, units: UnitSystem) {
    let length = |value: f64| show(value, Dimension::Length, units);
    let header: Vec<String> = std::iter::once("station x".to_owned())
        .chain(
            result
                .waterlines
                .iter()
                .map(|line| format!("z {}", length(line.at_m))),
        )
        .collect();
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let rows = result
        .stations
        .iter()
        .map(|station| {
            let cell = |waterline: &SectionLine| {
                let mut list = result.half_breadths.iter();
                let found = list
                    .find(|at| at.station_m == station.at_m && at.waterline_m == waterline.at_m);
                found.map_or_else(String::new, |at| {
                    let (port, starboard) = (length(at.port_m), length(at.starboard_m));
                    if port == starboard {
                        port
                    } else {
                        format!("{port} / {starboard}")
                    }
                })
            };
            std::iter::once(length(station.at_m))
                .chain(result.waterlines.iter().map(cell))
                .collect()
        })
        .collect();
    sheet
        .heading("Half-breadths outside the skin, from the middle plane (port / starboard where they differ)")
        .grid(&header, rows);
}
