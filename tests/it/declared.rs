//! A table costs its declaration: what is declared is read, listed, started, looked up, checked, renamed and told apart.

use kitwright::catalog::{Memory, Photo, RowsBy, Table, Thing};
use kitwright::entry::change::{Wanted, find, rename};
use kitwright::entry::{Names, Register, Standing, empty_catalog};
use kitwright::measure::{Key, PartNumber};
use kitwright::tables::{Tables, TextSheet, check, rewrite};

/// What the tests ask about a table: its files, and what everything above makes of them.
struct Catalog(Vec<(&'static str, String)>);

impl Catalog {
    fn new(files: &[(&'static str, &str)]) -> Self {
        let base = [
            ("models", "model\nTK8\n"),
            ("machines", "machine,model\ndinghy,TK8\n"),
            ("parts", "part,type\n91-1,gasket\n"),
            ("positions", "position,part,joint\nreeds,91-1,intake\n"),
            ("operations", "operation,opens\nopen-intake,intake\n"),
            ("jobs", "job\nreeds\n"),
            ("job_lines", "job,position\nreeds,reeds\n"),
        ];
        let files = base.iter().chain(files);
        Catalog(files.map(|(table, text)| (*table, (*text).to_owned())).collect())
    }

    fn tables(&self) -> Tables {
        let mut tables = Tables::default();
        for (table, text) in &self.0 {
            tables.read_file(table, format!("{table}.csv"), text.as_bytes());
        }
        assert_eq!((&tables.faults[..], &tables.notices[..]), (&[][..], &[][..]));
        tables
    }

    fn sheets(&self) -> Vec<TextSheet> {
        let read = |(table, text): &(&str, String)| {
            TextSheet::read(table, &format!("{table}.csv"), text.as_bytes())
        };
        self.0.iter().filter_map(read).collect()
    }

    fn memory(&self) -> Memory {
        self.tables().catalog()
    }

    fn errors(&self) -> Vec<(String, String, &'static str)> {
        let errors = check(&self.tables()).errors.into_iter();
        errors.map(|fault| (fault.file, fault.column, fault.code)).collect()
    }

    fn renamed(&self, thing: Thing, old: &str, new: &str, table: &str) -> String {
        let edits = rename(thing, old, new, &self.sheets()).expect("renamed");
        let file = edits.iter().find(|file| file.table == table).expect("a change in the table");
        let (_, text) = self.0.iter().find(|(name, _)| *name == table).expect("the table");
        String::from_utf8(rewrite(table, text.as_bytes(), &file.edits).expect("fits"))
            .expect("UTF-8")
    }

    fn standing(&self, table: &str, row: &str) -> Standing {
        let sheets = self.sheets();
        let header = sheets.iter().find(|sheet| sheet.table == table).expect("the table");
        let text = format!("{}\n{row}\n", header.columns.join(","));
        let sheet = TextSheet::read(table, "new.csv", text.as_bytes()).expect("a sheet");
        Register::of(table, &sheets).expect("a table").standing(&sheet.rows[0])
    }
}

fn is_started(table: &str) -> bool {
    let files = empty_catalog();
    files.iter().any(|file| file.name == format!("{table}.csv") && file.text.contains("Such as: "))
}

#[test]
fn photos_are_a_table_like_any_other() {
    let row = "photos/a.jpg,91-1,reeds,intake,open-intake,dinghy,2026-03-09";
    let header = "file,part,position,joint,operation,machine,date";
    let catalog = Catalog::new(&[("photos", &format!("{header}\n{row}\n"))]);
    assert!(is_started("photos"));
    assert_eq!(catalog.errors(), []);

    let memory = catalog.memory();
    let position = Key::new("Reeds");
    assert_eq!(memory.rows_by(Photo::position, (&position).into()).len(), 1);
    let part = PartNumber::new("911").expect("a number");
    assert_eq!(memory.rows_by(Photo::part, (&part).into()).len(), 1);

    for (thing, old) in [
        (Thing::Part, "91-1"),
        (Thing::Position, "reeds"),
        (Thing::Joint, "intake"),
        (Thing::Operation, "open-intake"),
        (Thing::Machine, "dinghy"),
    ] {
        let after = catalog.renamed(thing, old, "other-name", "photos");
        assert_eq!(after, format!("{header}\n{}\n", row.replacen(old, "other-name", 1)), "{old}");
        let wrong = Catalog::new(&[("photos", &after)]);
        let errors = wrong.errors();
        let code = format!("dangling-{}", thing.word());
        assert_eq!(errors, [("photos.csv".to_owned(), thing.word().to_owned(), &*code)]);
    }

    assert!(matches!(catalog.standing("photos", &row.replace("91-1", "91 1")), Standing::Same(_)));
    assert!(matches!(catalog.standing("photos", &row.replace("reeds", "cage")), Standing::New));
    let wanted = Wanted {
        table: "photos".to_owned(),
        key: "photos/a.jpg".to_owned(),
        cells: Vec::new(),
        line: None,
    };
    assert!(find(&wanted, &catalog.sheets()).is_ok());
    // The picture itself would stay at home.
    assert!(Table::shared().iter().all(|table| table.name != "photos"));
}
#[test]
fn plans_with_their_lines_and_marks_are_tables_like_any_other() {
    let plans =
        "plan,machine,jobs,renew,instead,begun\np1,dinghy,reeds,reeds,reeds=91-1,2026-03-02\n";
    let lines = "plan,part,quantity,role\np1,91-1,1,new\n";
    let marks = "plan,kind,subject\np1,laid-out,91-1\np1,torqued,reeds\np1,done,open-intake\n";
    let catalog = Catalog::new(&[("plans", plans), ("plan_lines", lines), ("marks", marks)]);
    assert!(["plans", "plan_lines", "marks"].iter().all(|table| is_started(table)));
    assert_eq!(catalog.errors(), []);
    assert_eq!(Thing::from_word("plans"), Some(Thing::Plan));
    assert_eq!(Thing::Plan.home(), Some(("plans", "plan")));
    let names = Names::of(&catalog.sheets(), [], []);
    assert_eq!(names.all(Thing::Plan), ["p1"]);

    for (table, text) in [("plans", plans), ("plan_lines", lines), ("marks", marks)] {
        let after = catalog.renamed(Thing::Plan, "P1", "spring", table);
        assert_eq!(after, text.replace("p1", "spring"));
    }
    assert_eq!(catalog.renamed(Thing::Part, "911", "92-2", "marks"), marks.replace("91-1", "92-2"));
    let after = catalog.renamed(Thing::Position, "reeds", "cage", "plans");
    assert_eq!(after, plans.replace("reeds,reeds=", "cage,cage="));
    assert_eq!(
        catalog.renamed(Thing::Position, "reeds", "cage", "marks"),
        marks.replace("reeds", "cage")
    );

    let wrong = Catalog::new(&[("plans", plans), ("plan_lines", &lines.replace("p1", "p2"))]);
    let errors = wrong.errors();
    assert_eq!(errors, [("plan_lines.csv".to_owned(), "plan".to_owned(), "dangling-name")]);
    assert!(matches!(catalog.standing("marks", "P1,Laid-out,91-1"), Standing::Same(_)));
}
