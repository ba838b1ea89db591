//! What `awash init` tells of the file it wrote.
use super::cell::{fixed, point};
use super::{Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::StartingFile;

impl Present for StartingFile {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{} written for {}", self.file, self.mesh), units);
        let edges = self.open_edges_m.iter();
        let edges: Vec<String> = edges.map(|m| format!("{m:.2} m round")).collect();
        let guess = &self.unit_guess;
        sheet
            .heading("Hull")
            .value("length, breadth, height", point(self.size_m))
            .value(
                "unit of the mesh",
                format!("{} ({})", guess.unit, guess.confidence),
            )
            .value("triangles, caps included", fixed(self.triangles))
            .value(
                "open edges",
                if edges.is_empty() {
                    "none: mark every hole in the file".to_owned()
                } else {
                    edges.join(", ")
                },
            );
        sheet.doubts(&self.mesh_doubts);
        sheet.heading("Next").notes(&[format!(
            "open {} in an editor, check what it says, then run: awash float {}",
            self.file, self.file
        )]);
        sheet
    }
}
