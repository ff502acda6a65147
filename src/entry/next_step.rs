use crate::catalog::Lookup;

/// Says what to type in next while a table that a first kit needs is empty; `None` where none is.
pub fn next_step(lookup: &dyn Lookup) -> Option<&'static str> {
    if lookup.machine_keys().is_empty() {
        Some("no machine yet: kitwright add machine NAME MODEL --year YEAR")
    } else if lookup.position_keys().is_empty() {
        Some(
            "no positions yet: kitwright add joint NAME --gasket PART --screws 4xPART --opened-by OPERATION, or kitwright import LIST --into positions",
        )
    } else if lookup.part_numbers().is_empty() {
        Some(
            "no parts yet: kitwright add 'NUMBER type size, name', or kitwright import LIST --into parts",
        )
    } else if lookup.operation_keys().is_empty() {
        Some(
            "no operations yet: kitwright add operation NAME --opens JOINT says how one gets to a joint",
        )
    } else if lookup.job_keys().is_empty() {
        Some(
            "no job yet: kitwright add job NAME --renew POSITION (kitwright kit --renew POSITION --on MACHINE needs none)",
        )
    } else {
        None
    }
}
