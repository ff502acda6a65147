//! The same catalog in SQLite: indexed tables, FTS5 for words and, with trigrams, for pieces of numbers; prepared
//! statements, one transaction, no wait for the disk while it is filled.

use kitwright::measure::PartNumber;
use rusqlite::{Connection, params};
use rust_decimal::prelude::ToPrimitive;
use std::path::Path;

type Failure = Box<dyn std::error::Error>;

const SCHEMA: &str = "
    PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA cache_size = -200000;
    CREATE TABLE parts (id INTEGER PRIMARY KEY, folded TEXT, part TEXT, type TEXT, name TEXT, size TEXT, maker TEXT,
        material TEXT, single_use TEXT, unit TEXT, status TEXT, note TEXT, source TEXT);
    CREATE TABLE positions (id INTEGER PRIMARY KEY, position TEXT, assembly TEXT, figure TEXT, name TEXT, folded TEXT,
        part TEXT, quantity TEXT, model TEXT, years TEXT, serials TEXT, only_traits TEXT, joint TEXT, reached_by TEXT,
        when_disturbed TEXT, torque TEXT, note TEXT, source TEXT);
    CREATE TABLE supersessions (id INTEGER PRIMARY KEY, old TEXT, new TEXT, quantity TEXT, together TEXT, swap TEXT,
        since TEXT, needs TEXT, model TEXT, note TEXT, source TEXT);
    CREATE VIRTUAL TABLE words USING fts5(name, type, material, maker, note, content='', tokenize='porter');
    CREATE VIRTUAL TABLE pieces USING fts5(folded, content='', detail='full', tokenize='trigram');
";

/// The tables that are looked up by one column alone: their name, how many columns they have and which it is.
const OTHERS: &[(&str, usize, usize)] =
    &[("operations", 16, 0), ("jobs", 9, 0), ("job_lines", 11, 0), ("machines", 8, 0), ("models", 5, 0)];

const INDEXES: &str = "
    CREATE INDEX parts_folded ON parts (folded);
    CREATE INDEX parts_type_size ON parts (type, size);
    CREATE INDEX positions_position ON positions (position);
    CREATE INDEX positions_part ON positions (folded);
    CREATE INDEX positions_joint ON positions (joint);
    CREATE INDEX supersessions_old ON supersessions (old);
    CREATE INDEX supersessions_new ON supersessions (new);
    ANALYZE;
";

fn folded(text: &str) -> String {
    PartNumber::new(text).map_or_else(String::new, |number| number.folded().to_owned())
}

fn each_row(path: &Path, mut take: impl FnMut(&csv::StringRecord) -> rusqlite::Result<()>) -> Result<(), Failure> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path)?;
    let mut record = csv::StringRecord::new();
    while reader.read_record(&mut record)? {
        take(&record)?;
    }
    Ok(())
}

/// Fills a new database from the tables of a folder.
pub fn fill(folder: &Path, database: &Path) -> Result<Connection, Failure> {
    let _ = std::fs::remove_file(database);
    let mut connection = Connection::open(database)?;
    connection.execute_batch(SCHEMA)?;
    let transaction = connection.transaction()?;
    {
        let mut part = transaction.prepare("INSERT INTO parts VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)")?;
        let mut words =
            transaction.prepare("INSERT INTO words (rowid,name,type,material,maker,note) VALUES (?,?,?,?,?,?)")?;
        let mut pieces = transaction.prepare("INSERT INTO pieces (rowid,folded) VALUES (?,?)")?;
        let mut id = 0i64;
        each_row(&folder.join("parts.csv"), |r| {
            id += 1;
            let number = folded(&r[0]);
            pieces.execute(params![id, number])?;
            words.execute(params![id, &r[2], &r[1], &r[5], &r[4], &r[9]])?;
            part.execute(params![
                id, number, &r[0], &r[1], &r[2], &r[3], &r[4], &r[5], &r[6], &r[7], &r[8], &r[9], &r[10]
            ])?;
            Ok(())
        })?;
        let mut position =
            transaction.prepare("INSERT INTO positions VALUES (NULL,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)")?;
        each_row(&folder.join("positions.csv"), |r| {
            position.execute(params![
                &r[0],
                &r[1],
                &r[2],
                &r[3],
                folded(&r[4]),
                &r[4],
                &r[5],
                &r[6],
                &r[7],
                &r[8],
                &r[9],
                &r[10],
                &r[11],
                &r[12],
                &r[13],
                &r[14],
                &r[15]
            ])?;
            Ok(())
        })?;
        let mut supersession = transaction.prepare("INSERT INTO supersessions VALUES (NULL,?,?,?,?,?,?,?,?,?,?)")?;
        each_row(&folder.join("supersessions.csv"), |r| {
            supersession.execute(params![
                folded(&r[0]),
                folded(&r[1]),
                &r[2],
                &r[3],
                &r[4],
                &r[5],
                &r[6],
                &r[7],
                &r[11],
                &r[12]
            ])?;
            Ok(())
        })?;
    }
    for (table, columns, key) in OTHERS {
        let names: Vec<String> = (0..*columns).map(|column| format!("c{column} TEXT")).collect();
        transaction.execute_batch(&format!("CREATE TABLE {table} (id INTEGER PRIMARY KEY, {})", names.join(", ")))?;
        let mut row = transaction.prepare(&format!("INSERT INTO {table} VALUES (NULL{})", ",?".repeat(*columns)))?;
        each_row(&folder.join(format!("{table}.csv")), |r| row.execute(rusqlite::params_from_iter(r)).map(|_| ()))?;
        transaction.execute_batch(&format!("CREATE INDEX {table}_key ON {table} (c{key})"))?;
    }
    transaction.execute_batch(INDEXES)?;
    transaction.commit()?;
    Ok(connection)
}

/// Adds the lengths of sizes as numbers, which it takes to find a size within a tolerance.
pub fn add_lengths(connection: &mut Connection) -> Result<(), Failure> {
    let transaction = connection.transaction()?;
    transaction.execute_batch("CREATE TABLE lengths (slot INTEGER, length INTEGER, id INTEGER)")?;
    {
        let mut sizes = transaction.prepare("SELECT id, size FROM parts WHERE size <> ''")?;
        let mut put = transaction.prepare("INSERT INTO lengths VALUES (?,?,?)")?;
        let mut rows = sizes.query([])?;
        while let Some(row) = rows.next()? {
            let (id, size): (i64, String) = (row.get(0)?, row.get(1)?);
            for (slot, length) in (0i64..).zip(thousandths(&size)) {
                put.execute([slot, length, id])?;
            }
        }
    }
    transaction.execute_batch("CREATE INDEX lengths_length ON lengths (slot, length, id); ANALYZE")?;
    transaction.commit()?;
    Ok(())
}

fn thousandths(size: &str) -> Vec<i64> {
    let lengths = kitwright::measure::lengths_mm(size).unwrap_or_default();
    lengths.iter().filter_map(|length| (length * rust_decimal::Decimal::ONE_THOUSAND).to_i64()).collect()
}

/// Gives the question for a type and a size with the slack that people leave, and what to ask it with.
pub fn within(part_type: &str, size: &str) -> (String, Vec<rusqlite::types::Value>) {
    let mut sql = "SELECT part, name, size, count(*) OVER () FROM parts WHERE type = ?".to_owned();
    let mut values = vec![part_type.to_owned().into()];
    for (slot, length) in (0i64..).zip(thousandths(size)) {
        sql.push_str(" AND id IN (SELECT id FROM lengths WHERE slot = ? AND length BETWEEN ? AND ?)");
        let slack = (length / 100).max(60);
        values.extend([slot, length - slack, length + slack].map(Into::into));
    }
    sql.push_str(" ORDER BY folded LIMIT 20");
    (sql, values)
}

/// Looks a part up by its folded number.
pub const LOOKUP: &str = "SELECT part, name, size FROM parts WHERE folded = ?";

/// Finds parts by words, the best first, and counts them all.
pub const WORDS: &str = "SELECT p.part, p.name, p.size, count(*) OVER () FROM words w JOIN parts p ON p.id = w.rowid
    WHERE words MATCH ? ORDER BY rank LIMIT 20";

/// Finds parts by a piece of their number, and counts them all.
pub const PIECE: &str = "SELECT p.part, p.name, p.size, count(*) OVER () FROM pieces w JOIN parts p ON p.id = w.rowid
    WHERE pieces MATCH ? ORDER BY p.folded LIMIT 20";

/// Finds parts by type and size, and counts them all.
pub const SIZED: &str = "SELECT part, name, size, count(*) OVER () FROM parts WHERE type = ? AND size = ?
    ORDER BY folded LIMIT 20";

/// Follows every chain to its end.
pub const CHAINS: &str = "WITH RECURSIVE chain(start, part, depth) AS (
        SELECT old, new, 1 FROM supersessions
        UNION ALL SELECT c.start, s.new, c.depth + 1 FROM chain c JOIN supersessions s ON s.old = c.part WHERE c.depth < 64
    ) SELECT count(*), sum(depth) FROM chain";
