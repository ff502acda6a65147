//! One edit of a clean catalog for each thing that a check finds, and edits that it must let pass.
//!
//! The catalog is invented: no real maker, model, part or shop.

mod errors;
mod let_pass;
mod reader;
mod warnings;

use super::*;
use crate::tables::Tables;
use proptest::prelude::*;
use std::collections::BTreeMap;

const CLEAN: &[(&str, &str)] = &[
    ("models", "model,years\nTK8,1996-2004\nTK9,2005-2010\n"),
    (
        "machines",
        "machine,model,year,serial,traits\n\
         dinghy,TK8,1998,B1300,EU; long-shaft\n\
         tender,TK9,2006,C200,US; long-shaft\n",
    ),
    (
        "parts",
        "part,type,single_use,unit,status\n\
         IM-20,flexible impeller,,each,\n\
         HS-10,pump housing,,each,\n\
         GA-10,gasket,,each,\n\
         GA-20,gasket,,each,\n\
         SC-10,screw,,,\n\
         OR-10,o-ring,,,\n\
         PL-10,drain plug,,,\n\
         WA-10,crush washer,,,\n\
         OI-10,gear oil,,L,\n\
         SE-10,gasket set,,,\n\
         KI-10,repair kit,,,\n\
         TH-10,thermostat,,,discontinued\n\
         TH-20,thermostat,,,available\n\
         AN-10,anode,yes,,\n\
         RC-10,reed box,,,\n",
    ),
    ("dimensions", "part,feature,size\nOR-10,inside diameter,10\nOR-10,section,2\n"),
    ("contains", "part,contains,quantity,position\nKI-10,IM-20,1,\nKI-10,GA-20,,pump-gasket\n"),
    ("equivalents", "part,other\nOR-10,ZZ-1\n"),
    (
        "positions",
        "position,assembly,part,quantity,model,years,serials,only,joint,reached_by,when_disturbed,torque\n\
         impeller,Pump,IM-05,,TK8,,,,pump-cover,open-pump,,\n\
         impeller,Pump,IM-20,,TK9,,,,pump-cover,open-pump,,\n\
         pump-gasket,Pump,GA-10,,,-1999,,,pump-cover,,,\n\
         pump-gasket,Pump,GA-20,,,2000-,,,pump-cover,,,\n\
         pump-screws,Pump,SC-10,4,,,,,pump-cover,,,8 N·m; +90°\n\
         drain-plug,Gearcase,PL-10,,,,,,drain,drain-oil,,\n\
         drain-washer,Gearcase,WA-10,,,,,,drain,,,\n\
         vent,Gearcase,OR-10,,,,B1200-B4999,,drain,,,\n\
         vent,Gearcase,-,,,,B5000-,,drain,,,\n\
         thermostat,Head,TH-10,,,,,EU,head-cover,open-head,,\n\
         thermostat,Head,TH-20,,,,,US,head-cover,open-head,,\n\
         upper-seal,Head,SE-10,set,,,,,head-cover,,,\n\
         lower-seal,Head,SE-10,set,,,,,head-cover,,,\n\
         anode,Gearcase,AN-10,,,,,,anode-seat,,,\n\
         reeds,Intake,RC-10,,,,,,,,,\n",
    ),
    (
        "seats",
        "position,feature,size,least,most\nimpeller,shaft,10 h8,9.95,\nimpeller,bore,20,,20.05\n",
    ),
    (
        "selections",
        "position,feature,least,most,part\n\
         drain-plug,end play,0.1,0.2,WA-10\n\
         drain-plug,end play,0.21,0.3,OR-10\n\
         drain-plug,end play,0.3,,SC-10\n",
    ),
    ("joints", "joint,dry\nanode-seat,yes\npump-cover,\n"),
    (
        "supersessions",
        "old,new,together,since,needs,years\n\
         IM-05,IM-20,,2001,,\n\
         TH-10,TH-20,,2003-04-01,upper-seal,\n\
         AN-05,AN-10,anode-kit,,,\n\
         AN-05,SC-10,anode-kit,,,\n",
    ),
    (
        "retrofits",
        "part,position,verdict,needs,operations\n\
         IM-20,impeller,fits-with,pump-gasket=GA-20*1,drain-oil\n\
         TH-20,thermostat,fits,,\n",
    ),
    (
        "operations",
        "operation,needs,opens,removes,uses,cautions,model\n\
         drain-oil,,drain,,OI-10=0.35 L,skin-contact-used-oil; cold-hands,\n\
         open-pump,drain-oil,pump-cover,,,propeller,\n\
         open-head,,head-cover,,,hot-coolant,\n\
         anode-off,,anode-seat,anode,,,\n",
    ),
    ("jobs", "job,years\nrenew-impeller,\nrenew-thermostat,\nrenew-anode,\n"),
    (
        "job_lines",
        "job,option,position,part,quantity,operation\n\
         renew-impeller,,impeller,,,\n\
         renew-impeller,kit,,KI-10,,\n\
         renew-impeller,not kit,pump-gasket,,,\n\
         renew-thermostat,,thermostat,TH-20,1,\n\
         renew-anode,,anode,,,anode-off\n",
    ),
    ("stock", "part,quantity,bin\nOI-10,1 L,A\nOI-10,0,B\nIM-05,1,C\n"),
    ("suppliers", "supplier,currency\nchandler,EUR\n"),
    ("offers", "supplier,part,price,pack\nchandler,OI-10,9.50,1 L\nchandler,ZZ-1,1.20,\n"),
    (
        "orders",
        "order,date,supplier,part,packs,machine,job,received_quantity,received_part\n\
         o1,2020-01-02,chandler,OI-10,1,dinghy,renew-impeller,1 L,\n",
    ),
    (
        "worklog",
        "date,machine,position,part,quantity,operation,job,options\n\
         2019,dinghy,impeller,IM-05,,open-pump,renew-impeller,KIT\n\
         2020-05-01,dinghy,impeller,IM-20,,open-pump,renew-impeller\n",
    ),
    (
        "measurements",
        "date,machine,position,feature,value\n2020-05-01,dinghy,impeller,shaft,9.98\n",
    ),
    ("plans", "plan,machine\nspring,dinghy\n"),
    ("plan_lines", "plan,part\nspring,OR-10\n"),
    ("types", "type,also_called,when_disturbed,seals\nreed cage,reed box,inspect,no\n"),
    ("cautions", "caution,text\ncold-hands,Keep warm.\n"),
];

/// A change to the text of a table: one text in place of another. In place of nothing, the new text is added below.
#[derive(Clone, Copy)]
struct Edit {
    table: &'static str,
    old: &'static str,
    new: &'static str,
}

/// What one edit of the clean catalog makes wrong.
struct Example {
    code: &'static str,
    edits: &'static [Edit],
    /// A text that stands only in the line that is to be named; blank where the file as a whole is.
    needle: &'static str,
    /// The table in which that line stands.
    table: &'static str,
    column: &'static str,
}

fn edited(edits: &[Edit]) -> Vec<(&'static str, String)> {
    let mut catalog: Vec<(&str, String)> =
        CLEAN.iter().map(|(table, text)| (*table, (*text).to_owned())).collect();
    for edit in edits {
        let text = catalog
            .iter_mut()
            .find(|(table, _)| *table == edit.table)
            .map(|(_, text)| text)
            .expect(edit.table);
        if edit.old.is_empty() {
            text.push_str(edit.new);
            text.push('\n');
        } else {
            assert_eq!(
                text.matches(edit.old).count(),
                1,
                "`{}` stands once in {}",
                edit.old,
                edit.table
            );
            *text = text.replace(edit.old, edit.new);
        }
    }
    catalog
}

fn read(catalog: &[(&str, String)]) -> Tables {
    let mut sorted: Vec<_> = catalog.iter().collect();
    sorted.sort();
    let mut tables = Tables::default();
    for (table, text) in sorted {
        tables.read_file(table, format!("{table}.csv"), text.as_bytes());
    }
    tables
}

fn findings(edits: &[Edit]) -> Vec<Fault> {
    let report = check(&read(&edited(edits)));
    for (found, severity) in
        [(&report.errors, Severity::Error), (&report.warnings, Severity::Warning)]
    {
        for fault in found {
            let code = explain(fault.code).expect(fault.code);
            assert_eq!(code.severity, severity, "{fault}");
        }
    }
    report.errors.into_iter().chain(report.warnings).collect()
}

fn shown(findings: &[Fault]) -> String {
    findings.iter().map(|fault| format!("{fault}\n")).collect()
}

impl Example {
    /// Holds the example to what it promises: the clean catalog has no finding, the edited one this one only.
    fn holds(&self) {
        let found = findings(self.edits);
        let catalog: BTreeMap<_, _> = edited(self.edits).into_iter().collect();
        let lines: Vec<usize> = catalog[self.table]
            .lines()
            .enumerate()
            .filter(|(_, line)| line.contains(self.needle))
            .map(|(index, _)| index + 1)
            .collect();
        assert_eq!(lines.len(), 1, "`{}` stands in one line of {}", self.needle, self.table);
        let wanted = [(format!("{}.csv", self.table), lines[0], self.column, self.code)];
        let got: Vec<_> = found
            .iter()
            .map(|f| (f.file.clone(), f.line as usize, f.column.as_str(), f.code))
            .collect();
        assert_eq!(got, wanted, "\n{}", shown(&found));
        assert!(found.iter().all(|fault| fault.message.len() > 20), "{}", shown(&found));
    }
}

/// Each example becomes a test of its own name, and all of them one list.
macro_rules! examples {
    ($($name:ident: $code:literal at $table:literal / $needle:literal / $column:literal
        $(, $edited:ident: $old:literal => $new:literal)+;)*) => {
        use super::{Edit, Example};

        /// What is wrong here, and what it is called.
        pub(super) const EXAMPLES: &[Example] = &[$(Example {
            code: $code,
            edits: &[$(Edit { table: stringify!($edited), old: $old, new: $new }),+],
            needle: $needle,
            table: $table,
            column: $column,
        }),*];

        $(
            #[test]
            fn $name() {
                Example {
                    code: $code,
                    edits: &[$(Edit { table: stringify!($edited), old: $old, new: $new }),+],
                    needle: $needle,
                    table: $table,
                    column: $column,
                }
                .holds();
            }
        )*
    };
}
use examples;

#[test]
fn a_carefully_typed_catalog_has_no_findings() {
    let found = findings(&[]);
    assert!(found.is_empty(), "{}", shown(&found));
}

#[test]
fn an_empty_catalog_has_no_findings() {
    assert_eq!(check(&Tables::default()), Report::default());
}

#[test]
fn every_code_is_raised_by_some_example() {
    let raised: Vec<&str> = errors::EXAMPLES
        .iter()
        .chain(warnings::EXAMPLES)
        .map(|example| example.code)
        .chain(reader::CODES)
        .collect();
    for code in CODES {
        assert!(raised.contains(&code.name), "{}", code.name);
    }
}

#[test]
fn every_code_has_a_name_of_its_own_and_says_what_it_means_and_how_to_mend_it() {
    let mut names: Vec<&str> = CODES.iter().map(|code| code.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), CODES.len());
    for code in CODES {
        assert!(
            code.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
            "{}",
            code.name
        );
        for text in [code.meaning, code.mend] {
            assert!(text.ends_with('.') && text.len() > 20, "{}: {text}", code.name);
        }
        assert_eq!(explain(code.name), Some(code));
    }
    assert_eq!(explain("no-such-code"), None);
}

#[test]
fn findings_come_by_file_and_line_and_each_comes_once() {
    let mut tables = read(&edited(&[
        Edit { table: "worklog", old: "", new: "2021,canoe,,,,,\n2021,canoe,,,,no-such,no-such" },
        Edit { table: "machines", old: "TK9,2006", new: "TK7,2OO6" },
    ]));
    tables.faults.extend(tables.faults.clone());
    let report = check(&tables);
    let places: Vec<_> =
        report.errors.iter().map(|f| (f.file.as_str(), f.line, f.column.as_str())).collect();
    let wanted = [
        ("machines.csv", 3, "model"),
        ("machines.csv", 3, "year"),
        ("worklog.csv", 4, "machine"),
        ("worklog.csv", 5, "job"),
        ("worklog.csv", 5, "machine"),
        ("worklog.csv", 5, "operation"),
    ];
    assert_eq!(places, wanted);
}

/// Cells that stand in other columns too, and some that stand in none.
const CELLS: [&str; 24] = [
    "",
    "-",
    "IM-05",
    "IM-20",
    "im20",
    "SE-10",
    "impeller",
    "anode-seat",
    "open-pump",
    "renew-anode",
    "gasket",
    "TK8",
    "TK8; TK9",
    "-1999",
    "2000-",
    "1998; 2001",
    "B1-B9",
    "-C7",
    "EU; not EU",
    "not kit",
    "set",
    "0",
    "2 L",
    "IM-20=1; OI-10=as-needed",
];

proptest! {
    #[test]
    fn no_cells_make_the_check_panic_and_every_finding_points_into_a_file(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), any::<prop::sample::Index>(), prop::sample::select(&CELLS[..])), 1..12)
    ) {
        let mut catalog = edited(&[]);
        for (table, line, column, cell) in changes {
            let (_, text) = &mut catalog[table.index(CLEAN.len())];
            let mut lines: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
            let line = 1 + line.index(lines.len() - 1);
            let column = column.index(lines[line].len());
            let mut copy = lines[line].clone();
            copy[column] = cell;
            // In place of the line or below it: rows that stand beside others matter as much.
            if column % 2 == 0 { lines[line] = copy } else { lines.push(copy) }
            let changed = lines.iter().map(|cells| cells.join(",") + "\n").collect();
            *text = changed;
        }
        let tables = read(&catalog);
        let report = check(&tables);
        for fault in report.errors.iter().chain(&report.warnings) {
            prop_assert!(explain(fault.code).is_some() && tables.files.contains(&fault.file) && fault.line > 0, "{}", fault);
        }
    }
}
