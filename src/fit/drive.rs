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

/// Words of heads and nuts that no table here is for, or whose keys are not the same in every standard. Some of the words
/// that people type are marks of makers; they are read and never printed.
const NOT_HERE: [&str; 39] = [
    "12-point",
    "12 point",
    "12pt",
    "twelve",
    "bi-hex",
    "bihex",
    "double hex",
    "spline",
    "triple square",
    "external",
    "e-torx",
    "countersunk",
    "counter-sunk",
    "flat head",
    "pan-head",
    "pan head",
    "button",
    "cheese",
    "fillister",
    "raised",
    "slotted",
    "cross",
    "phillips",
    "pozidriv",
    "low head",
    "thin head",
    "grub",
    "set screw",
    "setscrew",
    "headless",
    "shoulder",
    "fitted",
    "square",
    "thumb",
    "knurled",
    "eye",
    "security",
    "tamper",
    "one-way",
];
const HEXALOBULAR: [&str; 6] = ["hexalobular", "six-lobe", "six lobe", "6-lobe", "6 lobe", "torx"];
const SOCKET: [&str; 8] = [
    "socket",
    "hexagon key",
    "hex key",
    "internal hexagon",
    "internal hex",
    "allen",
    "inhex",
    "recess",
];
const HEXAGON_HEAD: [&str; 5] =
    ["hexagon head", "hex head", "hex-head", "head hexagon", "head hex"];
const OTHER_NUTS: [&str; 17] = [
    "round",
    "ring",
    "castle",
    "castellated",
    "crown",
    "wing",
    "dome",
    "acorn",
    "cap nut",
    "spring",
    "wheel",
    "lug",
    "cage",
    "weld",
    "barrel",
    "tee",
    "clip",
];
const OTHER_BOLTS: [&str; 9] =
    ["flange", "carriage", "coach", "cup", "round", "t-bolt", "u-bolt", "hook", "dome"];

/// Finds what turns a part, by the words of its type and its name; `None` where they do not settle it, or its thread is not
/// known: no tool is better than a wrong one.
///
/// A hexagon head and nut follow the standards of today; the name of the tool says where an older standard differs.
pub fn turns(part: &PartSizes) -> Option<&'static Drive> {
    let thread = thread_of_part(part)?;
    let called = format!("{} {}", part.called, part.name).to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| called.contains(word));
    if says(&NOT_HERE) {
        return None;
    }
    let nut = matches!(
        part.kind.as_str(),
        "plain nut" | "jam nut" | "self-locking nut" | "all-metal lock nut"
    );
    let screw = matches!(
        part.kind.as_str(),
        "screw" | "bolt" | "angle-tightened bolt" | "pre-coated screw"
    );
    let hexagon = says(&HEXAGON_HEAD)
        || called.contains("hex cap screw")
        || called.contains("hexagon cap screw");
    // A cap screw is one with a socket unless its head is said to be another.
    let socket = says(&SOCKET) || (called.contains("cap screw") && !hexagon);
    let head = match (nut, screw) {
        (true, _) if says(&OTHER_NUTS) || socket || says(&HEXALOBULAR) => return None,
        (true, _) if called.contains("flange") => "flange nut",
        (true, _) => "nut",
        (false, false) => return None,
        _ if says(&HEXALOBULAR) => "hexalobular cap screw",
        _ if socket && hexagon => return None,
        _ if socket => "cap screw",
        _ if says(&OTHER_BOLTS) => return None,
        _ if hexagon || matches!(part.kind.as_str(), "bolt" | "angle-tightened bolt") => "bolt",
        _ => return None,
    };
    drives().iter().find(|row| row.fastener == head && row.diameter == thread.diameter)
}

/// Names a tool as one asks for it.
pub fn name(drive: &Drive) -> String {
    match drive.drive.as_str() {
        "hexalobular" => format!("hexalobular key {}", drive.size),
        tool => {
            let older = drives()
                .iter()
                .find(|row| row.fastener == "bolt, older" && row.diameter == drive.diameter);
            // The older nuts are as wide as the older heads. Source: DIN 931 and DIN 934, from memory.
            let has_older = matches!(drive.fastener.as_str(), "bolt" | "nut");
            match older.filter(|older| has_older && older.size != drive.size) {
                Some(older) => format!(
                    "{} mm {tool} ({} mm by the older DIN 931 and 934)",
                    drive.size, older.size
                ),
                None => format!("{} mm {tool}", drive.size),
            }
        }
    }
}

/// Gathers what turns the fasteners that a kit disturbs, each tool once.
pub fn of_kit(kit: &Kit, lookup: &dyn Lookup) -> Vec<ToolNeeded> {
    let mut tools: Vec<ToolNeeded> = Vec::new();
    for planned in kit
        .positions
        .iter()
        .filter(|planned| planned.action != Action::LeaveOut || planned.current.is_some())
    {
        let current =
            planned.current.iter().flat_map(|current| current.split(';')).map(str::to_owned);
        let goes = planned.parts.iter().map(|part| part.part.clone());
        for number in current.chain(goes) {
            let Some(number) = PartNumber::new(&number) else { continue };
            let Some(drive) = turns(&PartSizes::of(&number, lookup)) else { continue };
            let tool = name(drive);
            let known = match tools.iter_mut().position(|known| known.tool == tool) {
                Some(place) => place,
                None => {
                    tools.push(ToolNeeded {
                        tool,
                        positions: Vec::new(),
                        source: drive.source.clone(),
                    });
                    tools.len() - 1
                }
            };
            let Some(known) = tools.get_mut(known) else { continue };
            // One tool may turn the fasteners of two standards.
            if !known.source.split(" / ").any(|source| source == drive.source) {
                known.source = format!("{} / {}", known.source, drive.source);
            }
            if !known.positions.contains(&planned.position) {
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
        assert_eq!(
            said(tool("bolt", "bolt", "M12 x 190")),
            "18 mm spanner (19 mm by the older DIN 931 and 934)"
        );
        assert_eq!(said(tool("screw", "hexalobular screw", "M6 x 20")), "hexalobular key T30");
        assert_eq!(
            said(tool("plain nut", "", "M10")),
            "16 mm spanner (17 mm by the older DIN 931 and 934)"
        );
        assert_eq!(said(tool("plain nut", "flange nut", "M10")), "15 mm spanner");
        assert_eq!(said(tool("bolt", "Hex socket bolt", "M8 x 35")), "6 mm hexagon key");
        assert_eq!(said(tool("screw", "Cap screw hexagon head", "M8 x 35")), "13 mm spanner");
        assert_eq!(
            said(tool("screw", "hexagon socket head cap screw", "M8 x 35")),
            "6 mm hexagon key"
        );
        for called in [
            "countersunk cap screw",
            "12-point bolt",
            "shoulder bolt",
            "cheese head screw",
            "slotted bolt",
            "cross recess bolt",
            "flange bolt",
            "external hexalobular bolt",
        ] {
            assert_eq!(tool("bolt", called, "M8 x 16"), None, "{called}");
        }
        for called in
            ["round nut", "ring nut", "dome nut", "slotted nut", "square nut", "12-point nut"]
        {
            assert_eq!(tool("plain nut", called, "M10"), None, "{called}");
        }
        assert_eq!(tool("screw", "screw", "M5 x 16"), None);
        assert_eq!(tool("bolt", "bolt", "3/8 in"), None);
    }
}
