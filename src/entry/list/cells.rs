//! Divides the text of a list into lines and cells, whatever separates them.

use super::columns::header_words;
use super::line::ListLine;
use crate::entry::pattern::{Pattern, pattern};
use std::collections::HashMap;
use std::sync::LazyLock;

/// A list divided into cells.
#[derive(Debug, Clone)]
pub struct Divided {
    /// Its lines.
    pub lines: Vec<ListLine>,
    /// What separates the cells, in words.
    pub by: &'static str,
}

/// Stands for a ditto mark that quotation marks would swallow.
pub(super) const DITTO: &str = "〃";

const DELIMITERS: [(u8, &str); 4] =
    [(b';', "semicolons"), (b'\t', "tabs"), (b',', "commas"), (b'|', "bars")];

/// Divides a text into lines and cells: by the delimiter, or by columns of spaces, with which most of a header line is
/// understood and most lines have as many cells as the others.
pub fn divide(text: &str) -> Divided {
    let text = text.trim_start_matches('\u{feff}').replace('\u{c}', "\n");
    // A spreadsheet may name the delimiter in a first line of its own.
    let named = text.lines().next().and_then(|line| {
        line.trim().to_lowercase().strip_prefix("sep=").and_then(|rest| rest.bytes().next())
    });
    let body =
        if named.is_some() { text.split_once('\n').map_or("", |(_, rest)| rest) } else { &text };
    let shift = u32::from(named.is_some());
    let mut best: Option<(i64, Divided)> = None;
    let mut offer = |mut divided: Divided| {
        for line in &mut divided.lines {
            line.line += shift;
        }
        let score = score(&divided);
        if best.as_ref().is_none_or(|(most, _)| score > *most) {
            best = Some((score, divided));
        }
    };
    for (delimiter, by) in DELIMITERS {
        if named.is_some_and(|named| named != delimiter) {
            continue;
        }
        // A quotation mark alone in a cell says ditto; as quotation it would swallow what follows. Of two that divide as
        // evenly, the first counts.
        if let Some(marked) = with_dittos(body, char::from(delimiter)) {
            offer(Divided { lines: delimited(&marked, delimiter), by });
        }
        offer(Divided { lines: delimited(body, delimiter), by });
    }
    if named.is_none() {
        offer(Divided { lines: by_position(body), by: "columns of spaces" });
        offer(Divided { lines: by_gaps(body), by: "columns of spaces" });
    }
    best.map(|(_, divided)| divided).unwrap_or(Divided { lines: Vec::new(), by: "nothing" })
}

/// How well a division suits: the header words understood count most, then how many lines have as many cells.
fn score(divided: &Divided) -> i64 {
    let filled: Vec<&ListLine> = divided.lines.iter().filter(|line| !line.is_blank()).collect();
    let words = filled.iter().take(20).map(|line| header_words(&line.cells)).max().unwrap_or(0);
    let mut counts: HashMap<usize, i64> = HashMap::new();
    for line in &filled {
        *counts.entry(line.cells.len()).or_default() += 1;
    }
    let total = i64::try_from(filled.len()).unwrap_or(i64::MAX).max(1);
    let Some((cells, times)) = counts.into_iter().max_by_key(|(cells, times)| (*times, *cells))
    else {
        return i64::MIN;
    };
    if cells < 2 {
        return -1;
    }
    let words = i64::try_from(words).unwrap_or(0);
    let cells = i64::try_from(cells.min(12)).unwrap_or(0);
    words * 1000 + times * 500 / total + cells
}

fn delimited(text: &str, delimiter: u8) -> Vec<ListLine> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut lines = Vec::new();
    for record in reader.records() {
        // Text in memory can neither fail to be read nor be anything but UTF-8.
        let Ok(record) = record else { continue };
        let at = record.position().map_or(0, csv::Position::line);
        // The reader counts from where it looks for a record, so blank lines in front are still to be passed.
        let line = u32::try_from(at).unwrap_or(u32::MAX);
        lines.push(ListLine { line, cells: record.iter().map(clean).collect() });
    }
    lines
}

fn with_dittos(text: &str, delimiter: char) -> Option<String> {
    let mut changed = false;
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(delimiter).collect();
            let ditto = |cell: &str| matches!(cell.trim(), "\"" | "\"\"" | "''" | "-\"-");
            if cells.iter().any(|cell| ditto(cell)) {
                changed = true;
            }
            let cells: Vec<&str> =
                cells.into_iter().map(|cell| if ditto(cell) { DITTO } else { cell }).collect();
            cells.join(&delimiter.to_string())
        })
        .collect();
    changed.then(|| lines.join("\n"))
}

/// One line, with every run of space a single one.
fn clean(cell: &str) -> String {
    cell.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The lines of a text with tabs made spaces.
fn plain_lines(text: &str) -> impl Iterator<Item = (u32, Vec<char>)> + '_ {
    text.lines().enumerate().map(|(index, line)| {
        let mut chars = Vec::new();
        for c in line.trim_end().chars() {
            match c {
                '\t' => loop {
                    chars.push(' ');
                    if chars.len() % 8 == 0 {
                        break;
                    }
                },
                '\u{a0}' => chars.push(' '),
                c => chars.push(c),
            }
        }
        (u32::try_from(index + 1).unwrap_or(u32::MAX), chars)
    })
}

/// Divides by the places at which hardly any line has a letter.
fn by_position(text: &str) -> Vec<ListLine> {
    let lines: Vec<(u32, Vec<char>)> = plain_lines(text).collect();
    let gap = |line: &[char]| {
        let from = line.iter().position(|c| *c != ' ').unwrap_or(0);
        line.get(from..).unwrap_or_default().windows(2).any(|pair| pair == [' ', ' '])
    };
    // The head and the foot of a page keep to no column.
    let head = |line: &[char]| is_page_head(&line.iter().collect::<String>());
    let rows: Vec<&Vec<char>> = lines
        .iter()
        .map(|(_, line)| line)
        .filter(|line| gap(line) && !head(line.as_slice()))
        .collect();
    let width = rows.iter().map(|line| line.len()).max().unwrap_or(0).min(1000);
    let allowed = rows.len() / 50;
    let is_free = |at: usize| {
        rows.iter().filter(|line| line.get(at).is_some_and(|c| *c != ' ')).count() <= allowed
    };
    // A gap of one space may be chance; two side by side are a gap between columns.
    let mut cuts = Vec::new();
    let mut at = 0;
    while at < width {
        let start = at;
        while at < width && is_free(at) {
            at += 1;
        }
        if at - start >= 2 && start > 0 && at < width {
            cuts.push(at);
        }
        at = at.max(start + 1);
    }
    lines
        .iter()
        .map(|(number, line)| {
            let mut cells = Vec::new();
            let mut from = 0;
            for cut in cuts.iter().copied().chain([line.len().max(from)]) {
                let to = cut.min(line.len());
                let cell: String = line
                    .get(from.min(line.len())..to.max(from.min(line.len())))
                    .unwrap_or_default()
                    .iter()
                    .collect();
                cells.push(clean(&cell));
                from = cut;
            }
            ListLine { line: *number, cells }
        })
        .collect()
}

/// Tells whether a line is the head or the foot of a page: it ends in the page's number.
pub(super) fn is_page_head(line: &str) -> bool {
    static PAGE: Pattern = LazyLock::new(|| {
        pattern(
            r"(?i)(?:^|\s)(?:page|seite|sheet|blatt|pagina|página|folio)\s*\.?\s?\d{1,4}(?:\s*(?:of|/|von|de)\s*\d{1,4})?\s*$",
        )
    });
    PAGE.is_match(line)
}

/// A piece of a line, between the places where it begins and ends.
type Piece = (usize, usize, String);

/// Divides each line at its runs of two and more spaces. A line with fewer pieces than most has its pieces put into the
/// columns below which they stand, so that a blank cell stays blank.
fn by_gaps(text: &str) -> Vec<ListLine> {
    let lines: Vec<(u32, Vec<Piece>)> =
        plain_lines(text).map(|(line, chars)| (line, pieces(&chars))).collect();
    let mut counts: HashMap<usize, usize> = HashMap::new();
    for (_, pieces) in lines.iter().filter(|(_, pieces)| pieces.len() > 1) {
        *counts.entry(pieces.len()).or_default() += 1;
    }
    let most = counts
        .into_iter()
        .max_by_key(|(cells, times)| (*times, *cells))
        .map_or(0, |(cells, _)| cells);
    let columns: Vec<(usize, usize)> = (0..most)
        .map(|column| {
            let of = |end: fn(&Piece) -> usize| {
                let full = lines.iter().filter(|(_, pieces)| pieces.len() == most);
                commonest(full.filter_map(|(_, pieces)| pieces.get(column)).map(end))
            };
            (of(|piece| piece.0), of(|piece| piece.1))
        })
        .collect();
    lines
        .into_iter()
        .map(|(line, pieces)| {
            let short = pieces.len() > 1 && pieces.len() < most;
            let cells = short.then(|| below(&columns, &pieces)).flatten();
            let cells =
                cells.unwrap_or_else(|| pieces.into_iter().map(|(_, _, text)| text).collect());
            ListLine { line, cells }
        })
        .collect()
}

fn pieces(line: &[char]) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut at = 0;
    while at < line.len() {
        if line.get(at) == Some(&' ') {
            at += 1;
            continue;
        }
        let start = at;
        while at < line.len()
            && !(line.get(at) == Some(&' ') && line.get(at + 1).is_none_or(|next| *next == ' '))
        {
            at += 1;
        }
        let text: String = line.get(start..at).unwrap_or_default().iter().collect();
        pieces.push((start, at, clean(&text)));
    }
    pieces
}

fn commonest(places: impl Iterator<Item = usize>) -> usize {
    let mut counts: HashMap<usize, usize> = HashMap::new();
    for place in places {
        *counts.entry(place).or_default() += 1;
    }
    counts
        .into_iter()
        .max_by_key(|(place, times)| (*times, std::cmp::Reverse(*place)))
        .map_or(0, |(place, _)| place)
}

/// Puts each piece into the column at whose left or right edge it stands; `None` where two would share one.
fn below(columns: &[(usize, usize)], pieces: &[Piece]) -> Option<Vec<String>> {
    let mut cells = vec![String::new(); columns.len()];
    let mut from = 0;
    for (start, end, text) in pieces {
        let away = |(left, right): &(usize, usize)| start.abs_diff(*left).min(end.abs_diff(*right));
        let at = (from..columns.len()).min_by_key(|at| columns.get(*at).map(away))?;
        cells.get_mut(at)?.clone_from(text);
        from = at + 1;
    }
    Some(cells)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> (Vec<Vec<String>>, &'static str) {
        let divided = divide(text);
        (
            divided
                .lines
                .into_iter()
                .filter(|line| !line.is_blank())
                .map(|line| line.cells)
                .collect(),
            divided.by,
        )
    }

    #[test]
    fn each_delimiter_is_told_from_the_others() {
        for (delimiter, by) in [(";", "semicolons"), ("\t", "tabs"), (",", "commas"), ("|", "bars")]
        {
            let text = ["Part no.", "Description", "Qty"].join(delimiter)
                + "\n"
                + &["91-1", "Ring", "2"].join(delimiter);
            assert_eq!(
                cells(&text),
                (
                    vec![
                        vec!["Part no.".into(), "Description".into(), "Qty".into()],
                        vec!["91-1".into(), "Ring".into(), "2".into()]
                    ],
                    by
                )
            );
        }
        assert_eq!(cells("sep=;\nPart;Price\n91-1;1,20\n").0[1], ["91-1", "1,20"]);
    }

    #[test]
    fn columns_of_spaces_keep_their_blank_cells() {
        let text = "Ref  Part no    Description            Qty\n\n1    91-2044    O-ring 24x3              1\n2               (not shown alone)        2\n3    91-2045    Screw, pump cover        4\n";
        let (rows, by) = cells(text);
        assert_eq!(by, "columns of spaces");
        assert_eq!(rows[1], ["1", "91-2044", "O-ring 24x3", "1"]);
        assert_eq!(rows[2], ["2", "", "(not shown alone)", "2"]);
    }

    #[test]
    fn a_blank_first_cell_and_the_head_of_a_page_shift_no_column() {
        let text = "Ref  Part No.   Description          Qty\n 1   Q11-010    Head gasket          1\n    Q11-011   Head gasket (late)   1\n\
                    2   Q11-015    Dowel, head          2\nQUARNDLE T6  PARTS BOOK   page 12\n3   Q11-016    Dowel, base          2\n";
        let (rows, by) = cells(text);
        assert_eq!(by, "columns of spaces");
        assert_eq!(rows[2], ["", "Q11-011", "Head gasket (late)", "1"]);
        assert_eq!(rows[3], ["2", "Q11-015", "Dowel, head", "2"]);
        assert!(is_page_head("QUARNDLE T6  PARTS BOOK   page 12") && is_page_head("Page 3 of 40"));
        assert!(
            !is_page_head("Q11-016  Title page  12 each") && !is_page_head("Sheet metal screw 12")
        );
    }

    #[test]
    fn a_quotation_mark_alone_says_ditto() {
        let rows = cells("Part;Maker;Qty\n91-1;Tolvane;2\n91-2;\";4\n91-3;\";1\n").0;
        assert_eq!(rows[2], ["91-2", DITTO, "4"]);
    }

    #[test]
    fn a_quoted_cell_may_hold_delimiters_and_line_breaks() {
        let divided =
            divide("Part,Description,Qty\n91-1,\"Ring, upper\nand lower\",2\n91-2,Bolt,1\n");
        assert_eq!(divided.lines[1].cells, ["91-1", "Ring, upper and lower", "2"]);
        assert_eq!(divided.lines[2].line, 4);
    }
}
