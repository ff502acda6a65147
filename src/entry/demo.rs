//! The invented catalog that ships inside the program.

use super::guide::NewFile;

const FILES: &[(&str, &str)] = &[
    ("README.md", include_str!("../../demo/README.md")),
    ("assemblies.csv", include_str!("../../demo/assemblies.csv")),
    ("contains.csv", include_str!("../../demo/contains.csv")),
    ("dimensions.csv", include_str!("../../demo/dimensions.csv")),
    ("equivalents.csv", include_str!("../../demo/equivalents.csv")),
    ("job_lines.csv", include_str!("../../demo/job_lines.csv")),
    ("jobs.csv", include_str!("../../demo/jobs.csv")),
    ("joints.csv", include_str!("../../demo/joints.csv")),
    ("machines.csv", include_str!("../../demo/machines.csv")),
    ("measurements.csv", include_str!("../../demo/measurements.csv")),
    ("models.csv", include_str!("../../demo/models.csv")),
    ("offers.csv", include_str!("../../demo/offers.csv")),
    ("operations.csv", include_str!("../../demo/operations.csv")),
    ("orders.csv", include_str!("../../demo/orders.csv")),
    ("parts.csv", include_str!("../../demo/parts.csv")),
    ("positions.csv", include_str!("../../demo/positions.csv")),
    ("retrofits.csv", include_str!("../../demo/retrofits.csv")),
    ("seats.csv", include_str!("../../demo/seats.csv")),
    ("selections.csv", include_str!("../../demo/selections.csv")),
    ("stock.csv", include_str!("../../demo/stock.csv")),
    ("supersessions.csv", include_str!("../../demo/supersessions.csv")),
    ("suppliers.csv", include_str!("../../demo/suppliers.csv")),
    ("worklog.csv", include_str!("../../demo/worklog.csv")),
];

/// Gives the files of the demo.
pub fn demo_catalog() -> Vec<NewFile> {
    FILES
        .iter()
        .map(|(name, text)| NewFile { name: (*name).to_owned(), text: (*text).to_owned() })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_inside_the_program_is_whole() {
        let folder =
            std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/demo")).expect("the demo");
        let mut on_disk: Vec<String> = folder
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .filter(|name| !name.starts_with('.'))
            .collect();
        on_disk.sort();
        assert_eq!(on_disk, demo_catalog().into_iter().map(|file| file.name).collect::<Vec<_>>());
    }
}
