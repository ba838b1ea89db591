//! Lists for the workshop as tables and as rows for a spreadsheet.
use super::cell::{area, cells, length_by, mass, volume};
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{
    Answer, FoamSheet, ListKind, ListLine, ListResult, ProposedLine, Stuff, WorkPlace,
};

mod words;

use words::{notes, proposed_for};

/// Places are set out to this, m.
const PLACE_STEP_M: f64 = 0.001;

impl Present for Answer<ListResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        const UNITS: UnitSystem = UnitSystem::Metric;
        let mut words = Words::of(self, self.summary(UNITS)).and("/notes", notes(self, UNITS));
        for (number, line) in self.proposed.iter().enumerate() {
            let name = proposed_for(line, UNITS);
            words = words.and(format!("/proposed/{number}/name"), name);
        }
        words
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let title = match self.kind {
            ListKind::Weights => "weights",
            ListKind::Lead => "lead",
            ListKind::Foam => "foam",
        };
        let title = format!("{}, {title}: {}", self.name, self.summary(units));
        let mut sheet = Sheet::titled(title, units);
        sheet.heading("Aboard");
        if self.lines.is_empty() {
            sheet.notes(&["nothing"]);
        } else {
            let lines = self.lines.iter().chain(&self.total);
            let header = [
                "what",
                "mass",
                "from the stem",
                "off the middle",
                "over the base",
                "volume",
                "density",
                "which is",
            ];
            sheet.grid(&header, lines.map(row));
        }
        if !self.sheets.is_empty() {
            let header = [
                "sheet", "from z", "to z", "long", "wide", "area", "volume", "mass",
            ];
            sheet
                .heading("Sheets to cut, from the bottom up")
                .grid(&header, self.sheets.iter().map(sheet_row));
        }
        if !self.proposed.is_empty() {
            let header = [
                "for",
                "add",
                "mass",
                "volume",
                "from the stem",
                "off the middle",
                "over the base",
                "enough?",
            ];
            let rows = self.proposed.iter();
            sheet
                .heading("Proposed: one line or another, not all")
                .grid(&header, rows.map(|line| proposed_row(line, units)));
        }
        sheet.heading("Notes").notes(&notes(self, units));
        sheet.wary_of(self)
    }

    fn rows(&self) -> Option<Vec<Vec<String>>> {
        let header = [
            "list",
            "name",
            "material",
            "mass_kg",
            "spread_kg",
            "from_stem_m",
            "to_port_m",
            "over_base_m",
            "x_m",
            "y_m",
            "z_m",
            "volume_m3",
            "density_kg_m3",
            "does_it",
            "length_m",
            "width_m",
            "area_m2",
        ];
        let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
        let place = |place: Option<&WorkPlace>| {
            let numbers = place.map(|p| {
                let [x, y, z] = p.at_m;
                [p.from_stem_m, p.to_port_m, p.over_base_m, x, y, z]
            });
            numbers.map_or_else(
                || vec![String::new(); 6],
                |n| n.map(|v| v.to_string()).to_vec(),
            )
        };
        let line = |list: &str, line: &ListLine| {
            let mut row = vec![
                list.to_owned(),
                line.name.clone(),
                stuff(line.stuff).to_owned(),
                line.mass_kg.to_string(),
                line.spread_kg.to_string(),
            ];
            row.extend(place(Some(&line.place)));
            row.extend([
                number(line.volume_m3),
                number(line.density_kg_m3),
                String::new(),
            ]);
            row.resize(header.len(), String::new());
            row
        };
        let sheet = |sheet: &FoamSheet| {
            let mut row = vec![String::new(); header.len()];
            row[0] = "sheet".to_owned();
            row[1] = format!("{} {}", sheet.part, sheet.number);
            row[2] = "foam".to_owned();
            row[3] = sheet.mass_kg.to_string();
            row[10] = sheet.from_m.to_string();
            row[11] = sheet.volume_m3.to_string();
            row[14] = sheet.length_m.to_string();
            row[15] = sheet.width_m.to_string();
            row[16] = sheet.area_m2.to_string();
            row
        };
        let mut rows = vec![header.map(str::to_owned).to_vec()];
        rows.extend(self.lines.iter().map(|one| line("aboard", one)));
        rows.extend(self.total.iter().map(|one| line("total", one)));
        rows.extend(self.sheets.iter().map(sheet));
        rows.extend(self.proposed.iter().map(|one| {
            let mut row = vec![
                "proposed".to_owned(),
                proposed_for(one, UnitSystem::Metric),
                material(one).to_owned(),
                one.mass_kg.to_string(),
                String::new(),
            ];
            row.extend(place(one.place.as_ref()));
            row.extend([
                one.volume_m3.to_string(),
                String::new(),
                one.does_it.to_string(),
            ]);
            row.resize(header.len(), String::new());
            row
        }));
        Some(rows)
    }
}

fn row(line: &ListLine) -> Vec<Cell> {
    let mut row = cells![
        &line.name,
        Cell::spread(line.mass_kg, line.spread_kg, Dimension::Mass),
    ];
    row.extend(place_cells(Some(&line.place)));
    let density = |kg_m3| Cell::quantity(kg_m3, Dimension::Density);
    row.extend(cells![
        line.volume_m3.map(volume),
        line.density_kg_m3.map(density),
        stuff(line.stuff),
    ]);
    row
}

fn sheet_row(sheet: &FoamSheet) -> Vec<Cell> {
    let name = match sheet.pieces {
        0 | 1 => format!("{} {}", sheet.part, sheet.number),
        several => format!("{} {} ({several} pieces)", sheet.part, sheet.number),
    };
    let length = length_by(PLACE_STEP_M);
    cells![
        name,
        length(sheet.from_m),
        length(sheet.to_m),
        length(sheet.length_m),
        length(sheet.width_m),
        area(sheet.area_m2),
        volume(sheet.volume_m3),
        mass(sheet.mass_kg),
    ]
}

fn proposed_row(line: &ProposedLine, units: UnitSystem) -> Vec<Cell> {
    let mut row = cells![
        proposed_for(line, units),
        material(line),
        mass(line.mass_kg),
        volume(line.volume_m3),
    ];
    row.extend(place_cells(line.place.as_ref()));
    row.push(if line.does_it { "yes" } else { "NO" }.into());
    row
}

fn place_cells(place: Option<&WorkPlace>) -> [Cell; 3] {
    let length = length_by(PLACE_STEP_M);
    let Some(place) = place else {
        return Default::default();
    };
    let side = match place.side() {
        "centre line" => "centre line".into(),
        side => length(place.to_port_m.abs()) + " to " + side,
    };
    [length(place.from_stem_m), side, length(place.over_base_m)]
}

fn stuff(stuff: Stuff) -> &'static str {
    match stuff {
        Stuff::Lead => "lead",
        Stuff::Foam => "foam",
        Stuff::Sealed => "sealed",
        Stuff::Liquid => "liquid",
        Stuff::Other => "",
        Stuff::NotGiven => "volume not given",
    }
}

fn material(line: &ProposedLine) -> &'static str {
    match line.material {
        crate::study::Material::Lead => "lead",
        crate::study::Material::Foam => "foam",
        crate::study::Material::Nothing => "nothing",
    }
}
