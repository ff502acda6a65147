//! What is asked of the words, as a tree, and which parts answer it.
//!
//! What few parts have is looked up first, and the rest only for those; each way in which a part is meant adds its
//! points. It knows of terms and documents, not of what they stand for.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};
use std::ops::Bound;
use std::sync::Arc;
use tantivy::index::InvertedIndexReader;
use tantivy::postings::{Postings, SegmentPostings, TermInfo};
use tantivy::schema::{Field, IndexRecordOption};
use tantivy::{DocAddress, DocId, DocSet, Score, Searcher, SegmentReader, TERMINATED, Term};

/// What is asked for.
#[derive(Debug, Clone)]
pub(super) enum Asked {
    /// Any of these terms.
    Terms(Vec<Term>),
    /// A number from here to there, both included.
    Between(Field, u64, u64),
    /// These terms one directly behind another.
    InRow(Vec<Term>),
    /// At least one of these; their points are added up.
    Any(Vec<Asked>),
    /// All of these; their points are added up. Nothing has all of nothing.
    All(Vec<Asked>),
    /// This, for so many points in whichever way it is met.
    Worth(Box<Asked>, Score),
    /// The first; the points of the second are added where it is met, too.
    Better(Box<Asked>, Box<Asked>),
}

/// The best of what answers, how much there is, and how many of each type.
#[derive(Default)]
pub(super) struct Top {
    pub total: usize,
    /// Points, sort number and address, the best in front.
    pub hits: Vec<(Score, u64, DocAddress)>,
    pub types: HashMap<String, usize>,
}

/// Documents in order, each with its points.
type Met = Vec<(DocId, Score)>;

/// How many times more documents a list may hold than are asked about before each of them is sought in it.
const SOUGHT: usize = 16;

/// What is asked for, as it stands in one segment; what is not there at all has been left out.
enum Plan {
    Lists(Arc<InvertedIndexReader>, Vec<TermInfo>),
    InRow(Arc<InvertedIndexReader>, Vec<TermInfo>),
    Any(Vec<Plan>),
    All(Vec<Plan>),
    Worth(Box<Plan>, Score),
    Better(Box<Plan>, Option<Box<Plan>>),
}

impl Plan {
    fn of(asked: &Asked, segment: &SegmentReader) -> tantivy::Result<Option<Plan>> {
        Ok(match asked {
            Asked::Terms(terms) => {
                let Some(first) = terms.first() else { return Ok(None) };
                let reader = segment.inverted_index(first.field())?;
                let mut infos = Vec::new();
                for term in terms {
                    infos.extend(reader.get_term_info(term)?);
                }
                (!infos.is_empty()).then_some(Plan::Lists(reader, infos))
            }
            Asked::Between(field, low, high) => {
                let reader = segment.inverted_index(*field)?;
                let bound = |value: u64| Bound::Included(Term::from_field_u64(*field, value));
                let mut range = reader.terms().range();
                if let Bound::Included(low) = bound(*low) {
                    range = range.ge(low.serialized_value_bytes());
                }
                if let Bound::Included(high) = bound(*high) {
                    range = range.le(high.serialized_value_bytes());
                }
                let mut stream = range.into_stream()?;
                let mut infos = Vec::new();
                while stream.advance() {
                    infos.push(stream.value().clone());
                }
                drop(stream);
                (!infos.is_empty()).then_some(Plan::Lists(reader, infos))
            }
            Asked::InRow(terms) => {
                let Some(first) = terms.first() else { return Ok(None) };
                let reader = segment.inverted_index(first.field())?;
                let mut infos = Vec::new();
                for term in terms {
                    match reader.get_term_info(term)? {
                        Some(info) => infos.push(info),
                        None => return Ok(None),
                    }
                }
                Some(Plan::InRow(reader, infos))
            }
            Asked::Any(ways) => {
                let mut plans = Vec::new();
                for way in ways {
                    plans.extend(Plan::of(way, segment)?);
                }
                (!plans.is_empty()).then_some(Plan::Any(plans))
            }
            Asked::All(parts) => {
                let mut plans = Vec::new();
                for part in parts {
                    match Plan::of(part, segment)? {
                        Some(plan) => plans.push(plan),
                        None => return Ok(None),
                    }
                }
                plans.sort_by_key(Plan::most);
                (!plans.is_empty()).then_some(Plan::All(plans))
            }
            Asked::Worth(asked, points) => {
                Plan::of(asked, segment)?.map(|plan| Plan::Worth(Box::new(plan), *points))
            }
            Asked::Better(asked, more) => match Plan::of(asked, segment)? {
                Some(plan) => {
                    Some(Plan::Better(Box::new(plan), Plan::of(more, segment)?.map(Box::new)))
                }
                None => None,
            },
        })
    }

    /// The most documents that can meet this.
    fn most(&self) -> u64 {
        match self {
            Plan::Lists(_, infos) => infos.iter().map(|info| u64::from(info.doc_freq)).sum(),
            Plan::InRow(_, infos) => {
                infos.iter().map(|info| u64::from(info.doc_freq)).min().unwrap_or(0)
            }
            Plan::Any(plans) => plans.iter().map(Plan::most).sum(),
            Plan::All(plans) => plans.iter().map(Plan::most).min().unwrap_or(0),
            Plan::Worth(plan, _) | Plan::Better(plan, _) => plan.most(),
        }
    }

    /// Gives which documents meet this, as [`Plan::met`] does, without their points.
    fn docs(&self, among: Option<&[DocId]>) -> tantivy::Result<Vec<DocId>> {
        Ok(match self {
            Plan::Worth(plan, _) | Plan::Better(plan, _) => plan.docs(among)?,
            Plan::All(plans) => {
                let mut left: Option<Vec<DocId>> = None;
                for plan in plans {
                    left = Some(match left {
                        Some(left) if left.is_empty() => left,
                        left => plan.docs(left.as_deref().or(among))?,
                    });
                }
                left.unwrap_or_default()
            }
            Plan::Any(plans) if plans.len() == 1 => {
                plans.first().map_or(Ok(Vec::new()), |plan| plan.docs(among))?
            }
            Plan::Lists(reader, infos) => lists(reader, infos, among)?,
            Plan::Any(_) | Plan::InRow(..) => {
                self.met(among)?.into_iter().map(|(doc, _)| doc).collect()
            }
        })
    }

    /// Gives what meets this, among those documents alone if they are given.
    fn met(&self, among: Option<&[DocId]>) -> tantivy::Result<Met> {
        Ok(match self {
            Plan::Lists(reader, infos) => {
                lists(reader, infos, among)?.into_iter().map(|doc| (doc, 0.0)).collect()
            }
            Plan::InRow(reader, infos) => in_row(reader, infos, among)?,
            Plan::Any(plans) => {
                let mut all = Met::new();
                for plan in plans {
                    all = joined(all, plan.met(among)?);
                }
                all
            }
            Plan::All(plans) if plans.len() == 1 => {
                plans.first().map_or(Ok(Met::new()), |plan| plan.met(among))?
            }
            Plan::All(plans) => {
                // Points are counted for those alone that have all of it.
                let docs = self.docs(among)?;
                let mut met: Met = docs.iter().map(|doc| (*doc, 0.0)).collect();
                for plan in plans.iter().filter(|_| !docs.is_empty()) {
                    met = joined(met, plan.met(Some(&docs))?);
                }
                met
            }
            Plan::Worth(plan, points) => {
                let mut met = plan.met(among)?;
                met.iter_mut().for_each(|(_, score)| *score = *points);
                met
            }
            Plan::Better(plan, None) => plan.met(among)?,
            Plan::Better(plan, Some(more)) => {
                let met = plan.met(among)?;
                let docs: Vec<DocId> = met.iter().map(|(doc, _)| *doc).collect();
                let more = more.met(Some(&docs))?;
                joined(met, more)
            }
        })
    }
}

/// Gives the documents of any of several lists, those alone that are asked about if they are given.
fn lists(
    reader: &InvertedIndexReader,
    infos: &[TermInfo],
    among: Option<&[DocId]>,
) -> tantivy::Result<Vec<DocId>> {
    let mut docs = Vec::new();
    for info in infos {
        list(reader, info, among, &mut docs)?;
    }
    if infos.len() > 1 {
        docs.sort_unstable();
        docs.dedup();
    }
    Ok(docs)
}

/// Adds the documents of a list, those alone that are asked about if they are given.
fn list(
    reader: &InvertedIndexReader,
    info: &TermInfo,
    among: Option<&[DocId]>,
    docs: &mut Vec<DocId>,
) -> tantivy::Result<()> {
    if let Some(among) = among
        && among.len() * SOUGHT < info.doc_freq as usize
    {
        let mut postings = reader.read_postings_from_terminfo(info, IndexRecordOption::Basic)?;
        for doc in among {
            if seek(&mut postings, *doc) == *doc {
                docs.push(*doc);
            }
        }
        return Ok(());
    }
    let mut blocks = reader.read_block_postings_from_terminfo(info, IndexRecordOption::Basic)?;
    let mut asked = among.map(|among| among.iter().copied().peekable());
    while blocks.block_len() > 0 {
        match &mut asked {
            None => docs.extend_from_slice(blocks.docs()),
            Some(asked) => {
                for doc in blocks.docs() {
                    while asked.next_if(|next| next < doc).is_some() {}
                    if asked.peek() == Some(doc) {
                        docs.push(*doc);
                    }
                }
            }
        }
        blocks.advance();
    }
    Ok(())
}

fn seek(postings: &mut SegmentPostings, doc: DocId) -> DocId {
    if postings.doc() < doc { postings.seek(doc) } else { postings.doc() }
}

/// Gives the documents in which terms stand one directly behind another.
fn in_row(
    reader: &InvertedIndexReader,
    infos: &[TermInfo],
    among: Option<&[DocId]>,
) -> tantivy::Result<Met> {
    let option = IndexRecordOption::WithFreqsAndPositions;
    let mut lists: Vec<(u32, u32, SegmentPostings)> = Vec::new();
    for (info, behind) in infos.iter().zip(0u32..) {
        lists.push((info.doc_freq, behind, reader.read_postings_from_terminfo(info, option)?));
    }
    lists.sort_by_key(|(count, behind, _)| (*count, *behind));
    let mut met = Met::new();
    let (mut starts, mut places) = (Vec::new(), Vec::new());
    let mut asked = among.map(<[DocId]>::iter);
    let mut doc = 0;
    loop {
        match &mut asked {
            None => {}
            Some(asked) => match asked.next() {
                Some(next) => doc = *next,
                None => break,
            },
        }
        let Some((_, first_behind, first)) = lists.first_mut() else { break };
        let found = seek(first, doc);
        if found == TERMINATED {
            break;
        }
        if asked.is_some() && found != doc {
            continue;
        }
        doc = found;
        first.positions(&mut starts);
        // From where the first term of the row would stand, so that the places of all can be compared.
        let behind = *first_behind;
        starts.retain_mut(|place| place.checked_sub(behind).map(|start| *place = start).is_some());
        for (_, behind, postings) in lists.iter_mut().skip(1) {
            if starts.is_empty() {
                break;
            }
            if seek(postings, doc) != doc {
                starts.clear();
                break;
            }
            postings.positions(&mut places);
            starts.retain(|start| places.binary_search(&(start + *behind)).is_ok());
        }
        if !starts.is_empty() {
            met.push((doc, 0.0));
        }
        doc += 1;
    }
    Ok(met)
}

/// Joins two lists; the points of what is in both are added up.
fn joined(one: Met, other: Met) -> Met {
    if one.is_empty() {
        return other;
    }
    if other.is_empty() {
        return one;
    }
    let mut all = Met::with_capacity(one.len() + other.len());
    let (mut one, mut other) = (one.into_iter().peekable(), other.into_iter().peekable());
    loop {
        match (one.peek(), other.peek()) {
            (Some(a), Some(b)) if a.0 == b.0 => {
                all.push((a.0, a.1 + b.1));
                one.next();
                other.next();
            }
            (Some(a), Some(b)) if a.0 < b.0 => all.extend(one.next()),
            (_, Some(_)) => all.extend(other.next()),
            (Some(_), None) => all.extend(one.next()),
            (None, None) => return all,
        }
    }
}

/// Gives what meets a question in a segment and has not been taken out.
fn met(asked: &Asked, segment: &SegmentReader) -> tantivy::Result<Met> {
    let Some(plan) = Plan::of(asked, segment)? else { return Ok(Met::new()) };
    let mut met = plan.met(None)?;
    if let Some(alive) = segment.alive_bitset() {
        met.retain(|(doc, _)| alive.is_alive(*doc));
    }
    Ok(met)
}

/// Tells whether anything meets a question.
pub(super) fn is_there(asked: &Asked, searcher: &Searcher) -> tantivy::Result<bool> {
    for segment in searcher.segment_readers() {
        if !met(asked, segment)?.is_empty() {
            return Ok(true);
        }
    }
    Ok(false)
}

/// A document in the heap of the best: the greatest is the worst.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Ranked(Reverse<u32>, u64, DocId);

/// Gives the best of what meets a question; among equals, the first by sort number.
pub(super) fn best(asked: &Asked, searcher: &Searcher, limit: usize) -> tantivy::Result<Top> {
    let mut top = Top::default();
    for (segment, ordinal) in searcher.segment_readers().iter().zip(0..) {
        let met = met(asked, segment)?;
        if met.is_empty() {
            continue;
        }
        top.total += met.len();
        let fast = segment.fast_fields();
        let order = fast.u64("order")?;
        let mut heap: BinaryHeap<Ranked> = BinaryHeap::new();
        for (doc, score) in &met {
            // Points are positive, and positive floats sort as their bits do.
            let bits = score.max(0.0).to_bits();
            if heap.len() >= limit
                && heap.peek().is_none_or(|Ranked(Reverse(worst), _, _)| *worst > bits)
            {
                continue;
            }
            heap.push(Ranked(Reverse(bits), order.first(*doc).unwrap_or(u64::MAX), *doc));
            if heap.len() > limit {
                heap.pop();
            }
        }
        let ranked = heap.into_sorted_vec().into_iter();
        top.hits.extend(ranked.map(|Ranked(Reverse(bits), order, doc)| {
            (f32::from_bits(bits), order, DocAddress::new(ordinal, doc))
        }));
        if let Some(kind) = fast.str("kind")? {
            let mut counts = vec![0usize; kind.num_terms()];
            for (doc, _) in &met {
                if let Some(count) =
                    kind.ords().first(*doc).and_then(|ord| counts.get_mut(ord as usize))
                {
                    *count += 1;
                }
            }
            for (ord, count) in (0..).zip(&counts).filter(|(_, count)| **count > 0) {
                let mut name = String::new();
                kind.ord_to_str(ord, &mut name)?;
                *top.types.entry(name).or_default() += count;
            }
        }
    }
    top.hits.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    top.hits.truncate(limit);
    Ok(top)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;
    use tantivy::schema::{FAST, INDEXED, STRING, Schema, TEXT};
    use tantivy::{Index, IndexWriter, TantivyDocument};

    /// What a document holds: its letters in order, and its numbers.
    type Plain = (Vec<char>, Vec<u64>);

    fn tree(random: &mut ChaCha8Rng, text: Field, number: Field, depth: u32) -> Asked {
        let letter = |random: &mut ChaCha8Rng| {
            let letter = char::from(
                b'a' + (random.random_range(0..8u8) * random.random_range(0..3u8)).min(12),
            );
            Term::from_field_text(text, &letter.to_string())
        };
        let some = |random: &mut ChaCha8Rng| {
            (0..random.random_range(0..4))
                .map(|_| tree(random, text, number, depth - 1))
                .collect::<Vec<_>>()
        };
        match random.random_range(if depth == 0 { 0..3 } else { 0..7 }) {
            0 => Asked::Terms((0..random.random_range(1..3)).map(|_| letter(random)).collect()),
            1 => {
                let low = random.random_range(0..50);
                Asked::Between(number, low, low + random.random_range(0..9))
            }
            2 => Asked::InRow((0..random.random_range(1..4)).map(|_| letter(random)).collect()),
            3 => Asked::Any(some(random)),
            4 => Asked::All(some(random)),
            5 => {
                let points = f32::from(random.random_range(1..5u8));
                Asked::Worth(Box::new(tree(random, text, number, depth - 1)), points)
            }
            _ => {
                let mut one = || Box::new(tree(random, text, number, depth - 1));
                Asked::Better(one(), one())
            }
        }
    }

    /// Answers for one document by the meaning of each kind of question alone.
    fn plainly(asked: &Asked, plain: &Plain) -> Option<f32> {
        let of = |term: &Term| term.value().as_str().and_then(|text| text.chars().next());
        match asked {
            Asked::Terms(terms) => terms
                .iter()
                .any(|term| of(term).is_some_and(|letter| plain.0.contains(&letter)))
                .then_some(0.0),
            Asked::Between(_, low, high) => {
                plain.1.iter().any(|number| (low..=high).contains(&number)).then_some(0.0)
            }
            Asked::InRow(terms) => {
                let row: Vec<char> = terms.iter().filter_map(of).collect();
                plain.0.windows(row.len()).any(|window| window == row).then_some(0.0)
            }
            Asked::Any(ways) => {
                let met: Vec<f32> = ways.iter().filter_map(|way| plainly(way, plain)).collect();
                (!met.is_empty()).then(|| met.iter().sum())
            }
            Asked::All(parts) => {
                let met: Option<Vec<f32>> = parts.iter().map(|part| plainly(part, plain)).collect();
                met.filter(|met| !met.is_empty()).map(|met| met.iter().sum())
            }
            Asked::Worth(asked, points) => plainly(asked, plain).map(|_| *points),
            Asked::Better(asked, more) => {
                plainly(asked, plain).map(|points| points + plainly(more, plain).unwrap_or(0.0))
            }
        }
    }

    #[test]
    fn postings_answer_as_the_documents_themselves_do() {
        let mut random = ChaCha8Rng::seed_from_u64(5);
        let mut schema = Schema::builder();
        let text = schema.add_text_field("text", TEXT);
        let number = schema.add_u64_field("number", INDEXED);
        let order = schema.add_u64_field("order", FAST | INDEXED);
        let kind = schema.add_text_field("kind", STRING | FAST);
        let index = Index::create_in_ram(schema.build());
        let mut writer: IndexWriter = index.writer_with_num_threads(1, 15_000_000).unwrap();
        writer.set_merge_policy(Box::new(tantivy::indexer::NoMergePolicy));
        let mut documents: Vec<(u64, Plain)> = Vec::new();
        for place in 0..1500u64 {
            let letters = random.random_range(0..9);
            let letters: Vec<char> =
                (0..letters).map(|_| char::from(b'a' + random.random_range(0..13u8))).collect();
            let numbers: Vec<u64> =
                (0..random.random_range(0..3)).map(|_| random.random_range(0..60)).collect();
            let mut document = TantivyDocument::new();
            document
                .add_text(text, letters.iter().map(char::to_string).collect::<Vec<_>>().join(" "));
            numbers.iter().for_each(|value| document.add_u64(number, *value));
            document.add_u64(order, place);
            document.add_text(kind, if place % 3 == 0 { "third" } else { "other" });
            writer.add_document(document).unwrap();
            documents.push((place, (letters, numbers)));
            if place % 600 == 599 {
                writer.commit().unwrap();
            }
        }
        for gone in (0..1500).step_by(7) {
            writer.delete_term(Term::from_field_u64(order, gone));
        }
        writer.commit().unwrap();
        documents.retain(|(place, _)| place % 7 != 0);
        let searcher = index.reader().unwrap().searcher();
        assert!(searcher.segment_readers().len() > 1);
        let mut some = 0;
        for round in 0..3000 {
            let asked = tree(&mut random, text, number, 3);
            let mut want: Vec<(u64, f32)> = documents
                .iter()
                .filter_map(|(place, plain)| Some((*place, plainly(&asked, plain)?)))
                .collect();
            let thirds = want.iter().filter(|(place, _)| place % 3 == 0).count();
            want.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            let limit = [5, 100_000][round % 2];
            let top = best(&asked, &searcher, limit).unwrap();
            assert_eq!(top.total, want.len(), "{asked:?}");
            assert_eq!(is_there(&asked, &searcher).unwrap(), !want.is_empty(), "{asked:?}");
            assert_eq!(top.types.get("third").copied().unwrap_or(0), thirds, "{asked:?}");
            want.truncate(limit);
            let got: Vec<(u64, f32)> =
                top.hits.iter().map(|(points, order, _)| (*order, *points)).collect();
            assert_eq!(got, want, "{asked:?}");
            some += usize::from(!want.is_empty());
        }
        assert!(some > 1000, "{some}");
    }
}
