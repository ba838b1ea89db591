//! What `awash init` tells of the file it wrote.
use super::doubts::doubts;
use super::{Present, Sheet};
use crate::quantity::{UnitSystem, show_point};
use crate::study::StartingFile;

impl Present for StartingFile {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{} written for {}", self.file, self.mesh));
        let edges: Vec<String> = self
            .open_edges_m
            .iter()
            .map(|length| format!("{length:.2} m round"))
            .collect();
        sheet.heading("Hull").values([
            ("length, breadth, height", show_point(self.size_m, units)),
            (
                "unit of the mesh",
                format!("{} ({})", self.unit_guess.unit, self.unit_guess.confidence),
            ),
            ("triangles, caps included", self.triangles.to_string()),
            (
                "open edges",
                if edges.is_empty() {
                    "none: mark every hole in the file".to_owned()
                } else {
                    edges.join(", ")
                },
            ),
        ]);
        sheet.doubts(doubts(&self.mesh_doubts, units));
        sheet.heading("Next").notes(&[format!(
            "open {} in an editor, check what it says, then run: awash float {}",
            self.file, self.file
        )]);
        sheet
    }
}
