//! What turns a fastener, from its thread and the kind of its head.

use super::sizes::PartSizes;
use super::standard::{Drive, drives};
use super::torque::thread_of_part;
use crate::catalog::Lookup;
use crate::kit::{Action, Kit};
use crate::measure::PartNumber;
use serde::Serialize;

/// A tool that a kit's fastener needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ToolNeeded {
    /// The tool, as one asks for it: `4 mm hexagon key`.
    pub tool: String,
    /// The positions that it is for.
    pub positions: Vec<String>,
    /// Where the size was found.
    pub source: String,
}

/// Finds what turns a part; `None` where its head or its thread is not known.
///
/// A hexagon head and nut follow the standards of today; the name of the tool says where an older standard differs.
pub fn turns(part: &PartSizes) -> Option<&'static Drive> {
    let thread = thread_of_part(part)?;
    let called = format!("{} {}", part.called, part.name).to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| called.contains(word));
    let head = if says(&["hexalobular", "six-lobe"]) {
        "hexalobular cap screw"
    } else if says(&["countersunk", "pan-head", "pan head", "button", "slotted", "low head", "grub", "set screw"]) {
        // Their keys are smaller and not the same in every standard.
        return None;
    } else if says(&["cap screw", "socket head", "socket screw", "hexagon socket"]) {
        "cap screw"
    } else if part.kind.ends_with("nut") && !says(&["castle", "wing", "dome", "ring nut", "spring nut", "wheel"]) {
        "nut"
    } else if matches!(part.kind.as_str(), "bolt" | "angle-tightened bolt") && !says(&["flange", "carriage", "coach"]) {
        "bolt"
    } else {
        return None;
    };
    drives().iter().find(|row| row.fastener == head && row.diameter == thread.diameter)
}

/// Names a tool as one asks for it.
pub fn name(drive: &Drive) -> String {
    match drive.drive.as_str() {
        "hexalobular" => format!("hexalobular key {}", drive.size),
        tool => {
            let older = drives().iter().find(|row| row.fastener == "bolt, older" && row.diameter == drive.diameter);
            match older.filter(|older| tool == "spanner" && older.size != drive.size) {
                Some(older) => format!("{} mm {tool} ({} mm by the older DIN 931)", drive.size, older.size),
                None => format!("{} mm {tool}", drive.size),
            }
        }
    }
}

/// Gathers what turns the fasteners that a kit disturbs, each tool once.
pub fn of_kit(kit: &Kit, lookup: &dyn Lookup) -> Vec<ToolNeeded> {
    let mut tools: Vec<ToolNeeded> = Vec::new();
    for planned in
        kit.positions.iter().filter(|planned| planned.action != Action::LeaveOut || planned.current.is_some())
    {
        let current = planned.current.iter().flat_map(|current| current.split(';')).map(str::to_owned);
        let goes = planned.parts.iter().map(|part| part.part.clone());
        for number in current.chain(goes) {
            let Some(number) = PartNumber::new(&number) else { continue };
            let Some(drive) = turns(&PartSizes::of(&number, lookup)) else { continue };
            let tool = name(drive);
            let known = match tools.iter_mut().position(|known| known.tool == tool) {
                Some(place) => place,
                None => {
                    tools.push(ToolNeeded { tool, positions: Vec::new(), source: drive.source.clone() });
                    tools.len() - 1
                }
            };
            if let Some(known) = tools.get_mut(known)
                && !known.positions.contains(&planned.position)
            {
                known.positions.push(planned.position.clone());
            }
        }
    }
    tools
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tool(kind: &str, called: &str, size: &str) -> Option<String> {
        let mut part = PartSizes::bare(PartNumber::new("S-1").unwrap(), kind);
        part.called = called.to_owned();
        part.size = size.to_owned();
        turns(&part).map(name)
    }

    #[test]
    fn thread_and_head_tell_the_tool() {
        let said = |tool: Option<String>| tool.unwrap_or_default();
        assert_eq!(said(tool("screw", "cap screw", "M5 x 16")), "4 mm hexagon key");
        assert_eq!(said(tool("screw", "socket head cap screw", "M10x30")), "8 mm hexagon key");
        assert_eq!(said(tool("bolt", "bolt", "M8 x 35")), "13 mm spanner");
        assert_eq!(said(tool("self-locking nut", "", "M18")), "27 mm spanner");
        assert_eq!(said(tool("bolt", "bolt", "M12 x 190")), "18 mm spanner (19 mm by the older DIN 931)");
        assert_eq!(said(tool("screw", "hexalobular screw", "M6 x 20")), "hexalobular key T30");
        assert_eq!(tool("screw", "countersunk cap screw", "M5 x 16"), None);
        assert_eq!(tool("screw", "screw", "M5 x 16"), None);
        assert_eq!(tool("bolt", "bolt", "3/8 in"), None);
    }
}
