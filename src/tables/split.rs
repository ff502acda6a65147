//! Splits the text of a table into lines and cells without losing where they stand.
//!
//! A library reader gives the cells, but not the byte range of each line (which a rewrite that touches no other
//! line needs) nor the place of a stray quotation mark (which a located error needs). The tests hold this
//! splitter to the `csv` package wherever the text is well formed.

use std::borrow::Cow;
use std::ops::Range;

/// One record: usually a line, or several where a quoted cell holds line breaks.
#[derive(Debug)]
pub(crate) struct Record<'a> {
    bytes: &'a [u8],
    /// The line on which it begins, from 1.
    pub line: u32,
    /// Its bytes, without the line end.
    pub span: Range<usize>,
    /// Where the next record begins.
    pub next: usize,
    cells: Vec<Cell>,
    /// What is wrong with its quotation marks, and in which cell.
    pub fault: Option<(usize, QuoteFault)>,
}

/// What can be wrong with quotation marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum QuoteFault {
    /// A cell opens one and never closes it.
    Unclosed,
    /// Text stands behind the closing one.
    TextAfter,
}

#[derive(Debug, Clone)]
struct Cell {
    /// The content: inside the quotation marks, if there are any.
    content: Range<usize>,
    /// All that stands between the delimiters.
    whole: Range<usize>,
    /// The content holds doubled quotation marks.
    doubled: bool,
}

impl<'a> Record<'a> {
    /// Counts the cells.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Gives a cell's bytes with doubled quotation marks made single; empty beyond the last cell.
    pub fn cell(&self, index: usize) -> Cow<'a, [u8]> {
        let Some(cell) = self.cells.get(index) else { return Cow::Borrowed(&[]) };
        let content = &self.bytes[cell.content.clone()];
        if !cell.doubled {
            return Cow::Borrowed(content);
        }
        let mut single = Vec::with_capacity(content.len());
        let mut after_quote = false;
        for byte in content {
            after_quote = *byte == b'"' && !after_quote;
            if !after_quote || *byte != b'"' {
                single.push(*byte);
            }
        }
        Cow::Owned(single)
    }

    /// Gives the text of its line from where a cell begins that cannot be read.
    pub fn line_from(&self, index: usize) -> &'a [u8] {
        let begins = match self.cells.get(index) {
            Some(cell) => cell.whole.start,
            // The cell that cannot be read is not among the cells; it begins behind the last of them.
            None => self.cells.last().map_or(self.span.start, |cell| cell.whole.end + 1),
        };
        self.bytes.get(begins..self.span.end).unwrap_or_default()
    }

    /// Gives the byte range of a cell with its quotation marks and the space around it.
    pub fn cell_span(&self, index: usize) -> Option<Range<usize>> {
        self.cells.get(index).map(|cell| cell.whole.clone())
    }

    /// Tells that the record holds nothing: an empty line, or one of spaces and delimiters only.
    pub fn is_empty(&self) -> bool {
        self.fault.is_none()
            && self
                .cells
                .iter()
                .all(|cell| self.bytes[cell.content.clone()].iter().all(u8::is_ascii_whitespace))
    }

    /// Tells that the first cell begins with `#`.
    pub fn is_remark(&self) -> bool {
        self.cells.first().is_some_and(|cell| {
            self.bytes[cell.content.clone()].trim_ascii_start().starts_with(b"#")
        })
    }
}

/// Walks over the records of a text.
#[derive(Debug, Clone)]
pub(crate) struct Splitter<'a> {
    bytes: &'a [u8],
    delimiter: u8,
    at: usize,
    line: u32,
    /// Where the cells of a faulty record begin, and its fault: a later line that comes upon one of them ends as it did.
    spoilt: Vec<usize>,
    spoilt_by: QuoteFault,
    /// How many cells the record before had: most have as many.
    width: usize,
}

impl<'a> Splitter<'a> {
    /// Starts behind a byte-order mark, if there is one.
    pub fn new(bytes: &'a [u8], delimiter: u8) -> Self {
        let at = if bytes.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len() } else { 0 };
        Splitter {
            bytes,
            delimiter,
            at,
            line: 1,
            spoilt: Vec::new(),
            spoilt_by: QuoteFault::Unclosed,
            width: 0,
        }
    }

    /// Starts where a record is known to begin, on a known line.
    pub fn at(bytes: &'a [u8], delimiter: u8, at: usize, line: u32) -> Self {
        Splitter { at, line, ..Splitter::new(bytes, delimiter) }
    }

    /// Tells where the next record begins, and on which line.
    pub fn here(&self) -> (usize, u32) {
        (self.at, self.line)
    }

    fn byte(&self, at: usize) -> Option<u8> {
        self.bytes.get(at).copied()
    }

    /// Finds the end of the line that holds `at`: where its text ends, and where the next line begins.
    fn line_end(&self, at: usize) -> (usize, usize) {
        let end =
            memchr::memchr2(b'\n', b'\r', &self.bytes[at..]).map_or(self.bytes.len(), |i| at + i);
        (end, self.behind_line_end(end))
    }

    fn behind_line_end(&self, end: usize) -> usize {
        match (self.byte(end), self.byte(end + 1)) {
            (Some(b'\r'), Some(b'\n')) => end + 2,
            (Some(_), _) => end + 1,
            (None, _) => end,
        }
    }

    fn skip_spaces(&self, mut at: usize) -> usize {
        while self.byte(at) == Some(b' ') {
            at += 1;
        }
        at
    }

    /// Reads a cell that begins at `start`; gives it and where it ends, or what is wrong with it.
    fn cell(&self, start: usize) -> Result<(Cell, usize), QuoteFault> {
        let is_end =
            |byte: Option<u8>| byte.is_none_or(|b| b == self.delimiter || b == b'\n' || b == b'\r');
        let open = self.skip_spaces(start);
        if self.byte(open) != Some(b'"') {
            let length = self.bytes[start..].iter().position(|b| is_end(Some(*b)));
            let end = length.map_or(self.bytes.len(), |length| start + length);
            return Ok((Cell { content: start..end, whole: start..end, doubled: false }, end));
        }
        let mut at = open + 1;
        let mut doubled = false;
        loop {
            let Some(quote) = self.bytes[at..].iter().position(|b| *b == b'"') else {
                return Err(QuoteFault::Unclosed);
            };
            at += quote + 1;
            if self.byte(at) != Some(b'"') {
                break;
            }
            doubled = true;
            at += 1;
        }
        let end = self.skip_spaces(at);
        if !is_end(self.byte(end)) {
            return Err(QuoteFault::TextAfter);
        }
        Ok((Cell { content: open + 1..at - 1, whole: start..end, doubled }, end))
    }

    /// Counts the line ends in a range.
    fn lines_in(&self, range: Range<usize>) -> u32 {
        let mut at = range.start;
        let mut lines = 0;
        while at < range.end {
            let (end, next) = self.line_end(at);
            if end >= range.end {
                break;
            }
            lines += 1;
            at = next;
        }
        lines
    }
}

pub(crate) const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

impl<'a> Iterator for Splitter<'a> {
    type Item = Record<'a>;

    fn next(&mut self) -> Option<Record<'a>> {
        let start = self.at;
        if start >= self.bytes.len() {
            return None;
        }
        let line = self.line;
        let mut cells = Vec::with_capacity(self.width);
        let mut at = start;
        // A remark ends with its line, whatever quotation marks it holds.
        if self.byte(self.skip_spaces(start)) == Some(b'#') {
            let (end, next) = self.line_end(start);
            self.at = next;
            self.line += 1;
            cells.push(Cell { content: start..end, whole: start..end, doubled: false });
            return Some(Record {
                bytes: self.bytes,
                line,
                span: start..end,
                next,
                cells,
                fault: None,
            });
        }
        loop {
            let known = self.spoilt.binary_search(&at).is_ok();
            match if known { Err(self.spoilt_by) } else { self.cell(at) } {
                Ok((cell, end)) => {
                    cells.push(cell);
                    if self.byte(end) == Some(self.delimiter) {
                        at = end + 1;
                        continue;
                    }
                    let next = self.behind_line_end(end);
                    self.at = next;
                    self.line += self.lines_in(start..end) + 1;
                    self.width = cells.len();
                    return Some(Record {
                        bytes: self.bytes,
                        line,
                        span: start..end,
                        next,
                        cells,
                        fault: None,
                    });
                }
                Err(fault) => {
                    // The rows behind the faulty line are still read, so that one run reports all errors.
                    let (end, next) = self.line_end(start);
                    self.at = next;
                    self.line += 1;
                    if !known && self.spoilt.last() < Some(&at) {
                        self.spoilt =
                            cells.iter().map(|cell| cell.whole.start).chain([at]).collect();
                        self.spoilt_by = fault;
                    }
                    // Where a cell of this line ran on into the next ones, its quotation mark is the one to look at.
                    let ran_on = cells.iter().position(|cell| cell.whole.end > end);
                    let fault = Some((ran_on.unwrap_or(cells.len()), fault));
                    return Some(Record {
                        bytes: self.bytes,
                        line,
                        span: start..end,
                        next,
                        cells,
                        fault,
                    });
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn split(text: &str) -> Vec<Vec<String>> {
        Splitter::new(text.as_bytes(), b',')
            .map(|record| {
                (0..record.len())
                    .map(|i| String::from_utf8_lossy(&record.cell(i)).into_owned())
                    .collect()
            })
            .collect()
    }

    #[test]
    fn cells_may_hold_delimiters_quotes_and_line_breaks() {
        let rows = split("a,\"b, \"\"c\"\"\",\"d\r\ne\"\r\n1,7/64\",\r\n");
        assert_eq!(rows[0], ["a", "b, \"c\"", "d\r\ne"]);
        assert_eq!(rows[1], ["1", "7/64\"", ""]);
    }

    #[test]
    fn a_lone_quote_spoils_its_own_line_only() {
        let records: Vec<_> = Splitter::new(b"a,b\n1,\"x\n2,y\n3,\"z\" w\n4,v", b',').collect();
        let seen: Vec<_> = records.iter().map(|r| (r.line, r.fault)).collect();
        assert_eq!(
            seen,
            [
                (1, None),
                (2, Some((1, QuoteFault::TextAfter))),
                (3, None),
                (4, Some((1, QuoteFault::TextAfter))),
                (5, None)
            ]
        );
        let last: Vec<_> = Splitter::new(b"a\n\"x\ny", b',').map(|r| r.fault).collect();
        assert_eq!(last, [None, Some((0, QuoteFault::Unclosed)), None]);
    }

    #[test]
    fn a_remark_may_hold_any_quotation_marks() {
        let records: Vec<_> =
            Splitter::new(b"# see \"x, \"y\na,b\n\"# quoted, too\",\n", b',').collect();
        assert_eq!(records.iter().map(|r| r.is_remark()).collect::<Vec<_>>(), [true, false, true]);
    }

    #[test]
    fn lines_are_counted_through_quoted_breaks_and_all_line_ends() {
        let lines: Vec<_> =
            Splitter::new(b"a\r\n\"b\n\nc\"\r\rd\n", b',').map(|r| r.line).collect();
        assert_eq!(lines, [1, 2, 5, 6]);
    }

    fn oracle(text: &[u8]) -> Vec<Vec<Vec<u8>>> {
        csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(text)
            .byte_records()
            .map(|record| {
                record.expect("any bytes are records").iter().map(<[u8]>::to_vec).collect()
            })
            .collect()
    }

    proptest! {
        #[test]
        fn well_formed_text_splits_as_the_csv_package_splits_it(
            rows in prop::collection::vec(prop::collection::vec("[ab,\"\n\r;x]{0,6}", 1..5), 1..8)
        ) {
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            for row in &rows {
                writer.write_record(row).expect("to memory");
            }
            let text = writer.into_inner().expect("to memory");
            let ours: Vec<Vec<Vec<u8>>> = Splitter::new(&text, b',')
                .filter(|r| !r.span.is_empty())
                .map(|r| { assert_eq!(r.fault, None); (0..r.len()).map(|i| r.cell(i).into_owned()).collect() })
                .collect();
            prop_assert_eq!(ours, oracle(&text));
        }

        #[test]
        fn records_cover_the_text_without_gaps(text in "[ab,\"\n\r# ]{0,40}") {
            let mut at = 0;
            for record in Splitter::new(text.as_bytes(), b',') {
                prop_assert_eq!(record.span.start, at);
                prop_assert!(record.next > at);
                at = record.next;
            }
            prop_assert_eq!(at, text.len());
        }
    }
}
