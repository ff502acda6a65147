//! Cards in layers, joined by arrows from top to bottom, as SVG in black and white.
//!
//! Nothing here knows what a card stands for. Text is wrapped to the width of its card by a measure that is wider than
//! any usual typeface, so that none is cut; an arrow runs between the layers, or down a lane of its own through a layer,
//! so that it crosses no card.

use crate::measure::printable;
use maud::{Markup, PreEscaped, html};
use petgraph::algo::{greedy_feedback_arc_set, toposort};
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;
use std::collections::{HashMap, HashSet};
use textwrap::core::Fragment;
use textwrap::wrap_algorithms::wrap_first_fit;

/// Something on the picture.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Card {
    /// Its lines of text; each is wrapped where it is too long.
    pub lines: Vec<Line>,
    /// How it is framed.
    pub frame: Frame,
}

/// A line of a card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it says.
    pub text: String,
    /// It is set bold.
    pub bold: bool,
}

/// How a card is framed: what sets it apart is the stroke, never a colour.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Frame {
    /// A thin line.
    #[default]
    Thin,
    /// A thick line: what the picture is about.
    Thick,
    /// A broken line: a remark about the way from one card to another.
    Broken,
}

/// A way from one card to another, by their places in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrow {
    /// From where.
    pub from: usize,
    /// To where.
    pub to: usize,
    /// It holds in the other direction, too.
    pub both: bool,
}

impl Card {
    /// Makes a card whose first line is bold.
    pub fn new(head: impl Into<String>, frame: Frame) -> Self {
        Card { lines: vec![Line { text: head.into(), bold: true }], frame }
    }

    /// Adds a plain line; an empty one is passed over.
    pub fn say(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !text.trim().is_empty() {
            self.lines.push(Line { text, bold: false });
        }
    }
}

const SIZE: f64 = 15.0;
const LINE: f64 = 20.0;
const PADDING: f64 = 10.0;
/// The widest that text on a card may be.
const TEXT: f64 = 270.0;
const BESIDE: f64 = 22.0;
const BETWEEN: f64 = 46.0;
const LANE: f64 = 14.0;
const MARGIN: f64 = 14.0;

/// Draws the cards. `across` is the most of them side by side; `closing` is said under the picture.
pub fn svg(title: &str, cards: &[Card], arrows: &[Arrow], across: usize, closing: &str) -> String {
    let boxes: Vec<Laid> = cards.iter().map(Laid::new).collect();
    let arrows: Vec<Arrow> = arrows
        .iter()
        .filter(|arrow| {
            arrow.from != arrow.to && arrow.from < cards.len() && arrow.to < cards.len()
        })
        .copied()
        .collect();
    let layers = Layers::new(cards.len(), &arrows, across.max(1));
    draw(title, &boxes, &arrows, &layers, closing)
}

/// A card with its text wrapped and its size known.
struct Laid {
    lines: Vec<Line>,
    frame: Frame,
    width: f64,
    height: f64,
}

impl Laid {
    fn new(card: &Card) -> Self {
        let mut lines = Vec::new();
        for line in &card.lines {
            lines.extend(
                wrap(&line.text, TEXT, line.bold)
                    .into_iter()
                    .map(|text| Line { text, bold: line.bold }),
            );
        }
        let widest = lines.iter().map(|line| measure(&line.text, line.bold)).fold(60.0, f64::max);
        Laid {
            width: widest + 2.0 * PADDING,
            height: LINE * lines.len() as f64 + 2.0 * PADDING,
            frame: card.frame,
            lines,
        }
    }
}

/// The most that a text may be wide, in any typeface that a viewer is likely to put in place of the one asked for.
///
/// Widths in parts of the type size, rounded up from the widest usual sans serif. Source: common practice, no source.
pub fn measure(text: &str, bold: bool) -> f64 {
    let wide: f64 = text.chars().map(width_of).sum();
    wide * SIZE * if bold { 1.12 } else { 1.0 }
}

fn width_of(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '\'' | '|' | ' ' | '.' | ',' | ':' | ';' | '!' | '·' => 0.41,
        'f' | 't' | 'r' | 'I' | '-' | '(' | ')' | '[' | ']' | '/' | '"' => 0.48,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '→' | '↔' | '…' => 1.02,
        'a'..='z' | '0'..='9' => 0.66,
        'A'..='Z' => 0.80,
        _ if c.is_ascii() => 0.86,
        _ if c < '\u{0590}' => 0.95,
        // Scripts whose letters fill a square, and pictures.
        _ => 1.4,
    }
}

/// A word on a card, or a piece of one that is too long for a line.
#[derive(Debug)]
struct Word {
    text: String,
    width: f64,
    space: f64,
}

impl Fragment for Word {
    fn width(&self) -> f64 {
        self.width
    }
    fn whitespace_width(&self) -> f64 {
        self.space
    }
    fn penalty_width(&self) -> f64 {
        0.0
    }
}

fn wrap(text: &str, most: f64, bold: bool) -> Vec<String> {
    // Nor may these two stand in a picture's text.
    let text = printable(text).replace(['\u{fffe}', '\u{ffff}'], " ");
    let space = measure(" ", bold);
    let mut words = Vec::new();
    for whole in text.split_whitespace() {
        let mut piece = String::new();
        for c in whole.chars() {
            piece.push(c);
            if measure(&piece, bold) > most && piece.chars().count() > 1 {
                piece.pop();
                let full = std::mem::replace(&mut piece, c.to_string());
                words.push(Word { width: measure(&full, bold), text: full, space: 0.0 });
            }
        }
        words.push(Word { width: measure(&piece, bold), text: piece, space });
    }
    let lines = wrap_first_fit(&words, &[most]);
    let joined = lines.into_iter().map(|line| {
        let mut text = String::new();
        for word in line {
            text.push_str(&word.text);
            if word.space > 0.0 {
                text.push(' ');
            }
        }
        text.trim_end().to_owned()
    });
    joined.filter(|line| !line.is_empty()).collect()
}

/// What stands in a layer: a card, or a lane through which an arrow passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Slot {
    Card(usize),
    /// The arrow's place in the list.
    Lane(usize),
}

/// Which cards and lanes stand in which layer, from the left.
struct Layers {
    rows: Vec<Vec<Slot>>,
    /// The layer of each card.
    of: Vec<usize>,
}

impl Layers {
    fn new(cards: usize, arrows: &[Arrow], across: usize) -> Self {
        let mut graph: DiGraph<usize, usize> = DiGraph::new();
        let nodes: Vec<NodeIndex> = (0..cards).map(|card| graph.add_node(card)).collect();
        for (index, arrow) in arrows.iter().enumerate() {
            graph.add_edge(nodes[arrow.from], nodes[arrow.to], index);
        }
        // Where arrows lead round in a circle, the few that close circles point upwards.
        let upwards: HashSet<_> = greedy_feedback_arc_set(&graph).map(|edge| edge.id()).collect();
        graph.retain_edges(|_, edge| !upwards.contains(&edge));
        let order = toposort(&graph, None).unwrap_or_else(|_| nodes.clone());
        let mut of = vec![0; cards];
        let mut held: Vec<usize> = Vec::new();
        // Cards keep the order in which they were given, as far as the arrows let them.
        let mut waiting: Vec<NodeIndex> = order;
        waiting.sort_by_key(|node| graph[*node]);
        let mut placed: HashSet<NodeIndex> = HashSet::new();
        while !waiting.is_empty() {
            let ready = waiting.iter().position(|node| {
                graph
                    .neighbors_directed(*node, petgraph::Direction::Incoming)
                    .all(|before| placed.contains(&before))
            });
            let node = waiting.remove(ready.unwrap_or_default());
            let before = graph.neighbors_directed(node, petgraph::Direction::Incoming);
            let mut layer = before.map(|node| of[graph[node]] + 1).max().unwrap_or_default();
            while held.get(layer).is_some_and(|held| *held >= across) {
                layer += 1;
            }
            if held.len() <= layer {
                held.resize(layer + 1, 0);
            }
            held[layer] += 1;
            of[graph[node]] = layer;
            placed.insert(node);
        }
        let mut rows: Vec<Vec<Slot>> = vec![Vec::new(); held.len()];
        for card in 0..cards {
            rows[of[card]].push(Slot::Card(card));
        }
        for (index, arrow) in arrows.iter().enumerate() {
            let (low, high) = (of[arrow.from].min(of[arrow.to]), of[arrow.from].max(of[arrow.to]));
            for row in rows.iter_mut().take(high).skip(low + 1) {
                row.push(Slot::Lane(index));
            }
        }
        let mut layers = Layers { rows, of };
        layers.untangle(arrows);
        layers
    }

    /// Puts each card and lane of a layer where its neighbours in the layer before, and then after, have theirs.
    fn untangle(&mut self, arrows: &[Arrow]) {
        let many = self.rows.len();
        for sweep in 0..6 {
            let down = sweep % 2 == 0;
            let order: Vec<usize> = if down {
                (1..many).collect()
            } else {
                (0..many.saturating_sub(1)).rev().collect()
            };
            for row in order {
                let beside = if down { row - 1 } else { row + 1 };
                let places: HashMap<Slot, f64> = self.rows[beside]
                    .iter()
                    .enumerate()
                    .map(|(place, slot)| (*slot, place as f64))
                    .collect();
                let wide =
                    (self.rows[beside].len().max(1) as f64, self.rows[row].len().max(1) as f64);
                let mut weighed: Vec<(f64, usize, Slot)> = Vec::new();
                for (place, slot) in self.rows[row].iter().enumerate() {
                    let near = self.near(*slot, beside, arrows);
                    let found: Vec<f64> =
                        near.iter().filter_map(|slot| places.get(slot).copied()).collect();
                    // What has no neighbour there keeps its place.
                    let weight = if found.is_empty() {
                        (place as f64 + 0.5) / wide.1
                    } else {
                        (found.iter().sum::<f64>() / found.len() as f64 + 0.5) / wide.0
                    };
                    weighed.push((weight, place, *slot));
                }
                weighed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                self.rows[row] = weighed.into_iter().map(|(_, _, slot)| slot).collect();
            }
        }
    }

    /// The cards and lanes of another layer that a card or lane is joined with.
    fn near(&self, slot: Slot, layer: usize, arrows: &[Arrow]) -> Vec<Slot> {
        let end = |arrow: usize, card: usize| {
            if self.of[card] == layer { Slot::Card(card) } else { Slot::Lane(arrow) }
        };
        match slot {
            Slot::Lane(index) => vec![
                end(index, arrows[index].from),
                end(index, arrows[index].to),
                Slot::Lane(index),
            ],
            Slot::Card(card) => {
                let of_card = arrows
                    .iter()
                    .enumerate()
                    .filter(|(_, arrow)| arrow.from == card || arrow.to == card);
                let others = of_card.map(|(index, arrow)| {
                    end(index, if arrow.from == card { arrow.to } else { arrow.from })
                });
                others.collect()
            }
        }
    }
}

/// A place on the picture: left edge, top edge and width.
#[derive(Debug, Clone, Copy)]
struct Spot {
    left: f64,
    width: f64,
    top: f64,
    bottom: f64,
}

fn draw(title: &str, boxes: &[Laid], arrows: &[Arrow], layers: &Layers, closing: &str) -> String {
    let width_of = |slot: &Slot| match slot {
        Slot::Card(card) => boxes[*card].width,
        Slot::Lane(_) => LANE,
    };
    let row_width = |row: &Vec<Slot>| {
        row.iter().map(width_of).sum::<f64>() + BESIDE * row.len().saturating_sub(1) as f64
    };
    let widest = layers.rows.iter().map(row_width).fold(2.0 * TEXT, f64::max);
    let whole = widest + 2.0 * MARGIN;
    let heads = wrap(title, widest / 1.25, true);
    let mut top = MARGIN + 26.0 * heads.len() as f64 + 10.0;
    let mut spots: HashMap<(usize, Slot), Spot> = HashMap::new();
    for (layer, row) in layers.rows.iter().enumerate() {
        let height = row
            .iter()
            .map(|slot| match slot {
                Slot::Card(card) => boxes[*card].height,
                Slot::Lane(_) => 0.0,
            })
            .fold(0.0, f64::max);
        let mut left = MARGIN + (widest - row_width(row)) / 2.0;
        for slot in row {
            let width = width_of(slot);
            spots.insert((layer, *slot), Spot { left, width, top, bottom: top + height });
            left += width + BESIDE;
        }
        top += height + BETWEEN;
    }
    let closing = wrap(closing, widest, false);
    let bottom = top - BETWEEN + 24.0;
    let height = bottom + LINE * closing.len() as f64 + MARGIN;
    let ways = ways(boxes, arrows, layers, &spots);
    let number = |value: f64| format!("{value:.1}");
    let markup = html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(heads.join(" ")) width=(number(whole)) height=(number(height))
            viewBox=(format!("0 0 {whole:.1} {height:.1}")) font-family="'DejaVu Sans', Verdana, Arial, sans-serif" font-size=(SIZE) {
            defs {
                marker id="head" viewBox="0 0 10 10" refX="9" refY="5" markerWidth="9" markerHeight="9" markerUnits="userSpaceOnUse"
                    orient="auto-start-reverse" { path d="M0 0L10 5L0 10z" {} }
            }
            rect width="100%" height="100%" fill="white" {}
            @for (index, line) in heads.iter().enumerate() {
                text x=(number(MARGIN)) y=(number(MARGIN + 18.0 + 26.0 * index as f64)) font-size="18" font-weight="bold" { (line) }
            }
            @for (arrow, path) in arrows.iter().zip(&ways) {
                path d=(path) fill="none" stroke="black" stroke-width="1.5" marker-end="url(#head)"
                    marker-start=[arrow.both.then_some("url(#head)")] {}
            }
            @for (layer, row) in layers.rows.iter().enumerate() {
                @for slot in row {
                    @if let (Slot::Card(card), Some(spot)) = (slot, spots.get(&(layer, *slot))) { (drawn(&boxes[*card], *spot)) }
                }
            }
            @for (index, line) in closing.iter().enumerate() {
                text x=(number(MARGIN)) y=(number(bottom + LINE * (index as f64 + 0.6))) { (line) }
            }
        }
    };
    markup.into_string()
}

fn drawn(card: &Laid, spot: Spot) -> Markup {
    let number = |value: f64| format!("{value:.1}");
    let (stroke, dashes) = match card.frame {
        Frame::Thin => ("1.5", None),
        Frame::Thick => ("4", None),
        Frame::Broken => ("1.2", Some("6 4")),
    };
    html! {
        rect x=(number(spot.left)) y=(number(spot.top)) width=(number(spot.width)) height=(number(card.height)) fill="white"
            stroke="black" stroke-width=(stroke) stroke-dasharray=[dashes] {}
        @for (index, line) in card.lines.iter().enumerate() {
            text x=(number(spot.left + PADDING)) y=(number(spot.top + PADDING + LINE * (index as f64 + 0.74)))
                font-weight=[line.bold.then_some("bold")] { (line.text) }
        }
    }
}

/// The path of each arrow: out of the foot of a card, down its lanes, into the head of the other.
fn ways(
    boxes: &[Laid],
    arrows: &[Arrow],
    layers: &Layers,
    spots: &HashMap<(usize, Slot), Spot>,
) -> Vec<String> {
    let spot_of = |card: usize| spots.get(&(layers.of[card], Slot::Card(card))).copied();
    let centre = |card: usize| spot_of(card).map_or(0.0, |spot| spot.left + spot.width / 2.0);
    // Arrows that share an edge of a card are spread along it, in the order of their other ends.
    let mut ports: HashMap<(usize, bool), Vec<(f64, usize)>> = HashMap::new();
    for (index, arrow) in arrows.iter().enumerate() {
        let downwards = layers.of[arrow.from] <= layers.of[arrow.to];
        let toward = |card: usize, other: usize| {
            let next = if layers.of[card] < layers.of[other] {
                layers.of[card] + 1
            } else {
                layers.of[card].saturating_sub(1)
            };
            spots.get(&(next, Slot::Lane(index))).map_or_else(|| centre(other), |spot| spot.left)
        };
        ports
            .entry((arrow.from, downwards))
            .or_default()
            .push((toward(arrow.from, arrow.to), index));
        ports
            .entry((arrow.to, !downwards))
            .or_default()
            .push((toward(arrow.to, arrow.from), index));
    }
    for list in ports.values_mut() {
        list.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    }
    let port = |card: usize, foot: bool, index: usize| {
        let list = ports.get(&(card, foot)).map_or(&[][..], Vec::as_slice);
        let place = list.iter().position(|(_, arrow)| *arrow == index).unwrap_or_default();
        let spot = spot_of(card);
        spot.map_or(0.0, |spot| {
            spot.left + spot.width * (place + 1) as f64 / (list.len() + 1) as f64
        })
    };
    let mut paths = Vec::with_capacity(arrows.len());
    for (index, arrow) in arrows.iter().enumerate() {
        let (Some(from), Some(to)) = (spot_of(arrow.from), spot_of(arrow.to)) else {
            paths.push(String::new());
            continue;
        };
        let downwards = layers.of[arrow.from] <= layers.of[arrow.to];
        let (upper, lower) =
            if downwards { (arrow.from, arrow.to) } else { (arrow.to, arrow.from) };
        let (above, below) = if downwards { (from, to) } else { (to, from) };
        let start = port(upper, true, index);
        // A head at this end, too, wants a little room of its own.
        let mut points =
            vec![(start, above.top + boxes[upper].height + 3.0), (start, above.bottom + 12.0)];
        for layer in layers.of[upper] + 1..layers.of[lower] {
            if let Some(lane) = spots.get(&(layer, Slot::Lane(index))) {
                let across = lane.left + lane.width / 2.0;
                points.push((across, lane.top - 6.0));
                points.push((across, lane.bottom + 12.0));
            }
        }
        let end = port(lower, false, index);
        points.extend([(end, below.top - 13.0), (end, below.top - 3.0)]);
        if !downwards {
            points.reverse();
        }
        let path: Vec<String> = points.iter().map(|(x, y)| format!("{x:.1} {y:.1}")).collect();
        paths.push(format!("M{}", path.join("L")));
    }
    paths
}

/// Puts a picture on a page as it is. Its texts were escaped when it was drawn.
pub fn on_page(svg: &str) -> Markup {
    PreEscaped(svg.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rects(svg: &str) -> Vec<[f64; 4]> {
        let value = |tag: &str, name: &str| -> f64 {
            tag.split(&format!(" {name}=\""))
                .nth(1)
                .unwrap()
                .split('"')
                .next()
                .unwrap()
                .parse()
                .unwrap()
        };
        svg.split("<rect ")
            .skip(1)
            .filter(|tag| tag.starts_with("x="))
            .map(|tag| {
                let tag = format!(" {tag}");
                [value(&tag, "x"), value(&tag, "y"), value(&tag, "width"), value(&tag, "height")]
            })
            .collect()
    }

    fn arrow(from: usize, to: usize) -> Arrow {
        Arrow { from, to, both: false }
    }

    #[test]
    fn what_follows_stands_below_and_a_long_arrow_has_a_lane_of_its_own() {
        let cards: Vec<Card> =
            ["a", "b", "c"].iter().map(|name| Card::new(*name, Frame::Thin)).collect();
        let layers = Layers::new(3, &[arrow(0, 1), arrow(1, 2), arrow(0, 2)], 3);
        assert_eq!(layers.of, [0, 1, 2]);
        assert!(layers.rows[1].contains(&Slot::Lane(2)));
        let picture = svg("t", &cards, &[arrow(0, 1), arrow(1, 2), arrow(0, 2)], 3, "");
        assert_eq!(picture.matches("marker-end").count(), 3);
    }

    #[test]
    fn a_circle_is_drawn_with_an_arrow_that_points_upwards() {
        let cards: Vec<Card> = (0..3).map(|n| Card::new(n.to_string(), Frame::Thin)).collect();
        let picture =
            svg("round", &cards, &[arrow(0, 1), arrow(1, 2), arrow(2, 0), arrow(1, 1)], 3, "");
        assert_eq!(picture.matches("marker-end").count(), 3, "an arrow to itself is not drawn");
    }

    #[test]
    fn texts_are_escaped_and_characters_that_no_picture_may_hold_are_taken_out() {
        let picture = svg("<b>&", &[Card::new("a\u{1}<script>\"x\"", Frame::Thick)], &[], 2, "");
        assert!(
            picture.contains("&lt;b&gt;&amp;") && picture.contains("a &lt;script&gt;"),
            "{picture}"
        );
        assert!(!picture.contains('\u{1}') && !picture.contains("<script"));
    }

    #[test]
    fn a_word_longer_than_a_card_is_broken_and_loses_nothing() {
        let long = "W".repeat(100);
        let lines = wrap(&long, TEXT, true);
        assert!(lines.iter().all(|line| measure(line, true) <= TEXT));
        assert_eq!(lines.concat(), long);
    }

    proptest! {
        #[test]
        fn no_two_cards_overlap_and_no_text_is_wider_than_its_card(
            texts in prop::collection::vec("[a-zA-Z0-9 äß車-]{0,120}", 1..14),
            pairs in prop::collection::vec((0usize..14, 0usize..14), 0..24),
            across in 1usize..5,
        ) {
            let cards: Vec<Card> = texts.iter().map(|text| {
                let mut card = Card::new("head", Frame::Thin);
                card.say(text.clone());
                card
            }).collect();
            let arrows: Vec<Arrow> = pairs.iter().map(|(from, to)| arrow(*from, *to)).collect();
            let picture = svg("picture", &cards, &arrows, across, "a guide only");
            let rects = rects(&picture);
            prop_assert_eq!(rects.len(), cards.len());
            for (index, a) in rects.iter().enumerate() {
                for b in &rects[index + 1..] {
                    let apart = a[0] + a[2] <= b[0] || b[0] + b[2] <= a[0] || a[1] + a[3] <= b[1] || b[1] + b[3] <= a[1];
                    prop_assert!(apart, "{:?} {:?}", a, b);
                }
            }
            for card in &cards {
                let laid = Laid::new(card);
                for line in &laid.lines {
                    prop_assert!(measure(&line.text, line.bold) + 2.0 * PADDING <= laid.width + 0.001);
                }
            }
            // Texts may hold any word; only what stands in an attribute is a number.
            let attributes = picture.split('<').flat_map(|tag| tag.split('>').next()).flat_map(|tag| tag.split('"').skip(1).step_by(2));
            for number in attributes.flat_map(|value| value.split([' ', ','])).filter_map(|word| word.parse::<f64>().ok()) {
                prop_assert!(number.is_finite(), "{}", picture);
            }
        }
    }
}
