//! The command `guide`: the pages that ship with the program.

use super::{Answer, Ended};
use crate::guide::PAGES;
use crate::near::nearest;
use clap::Args;
use serde_json::json;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright guide
  kitwright guide rules")]
pub(crate) struct GuideAsk {
    /// One page; without it, a list of them.
    #[arg(value_name = "TOPIC")]
    topic: Option<String>,
}

pub(crate) fn run(ask: &GuideAsk, json: bool) -> anyhow::Result<Answer> {
    let Some(topic) = &ask.topic else {
        if json {
            let pages = PAGES.map(|page| json!({ "topic": page.topic, "title": page.title() }));
            return Ok(Answer::new(format!("{:#}\n", json!({ "pages": pages })), Ended::Done));
        }
        let list = PAGES.map(|page| format!("  {:<10} {}\n", page.topic, page.title()));
        let text = format!("{}\nkitwright guide TOPIC shows one.\n", list.concat());
        return Ok(Answer::new(text, Ended::Done));
    };
    let wanted = topic.to_lowercase();
    let Some(page) = PAGES.iter().find(|page| page.topic == wanted) else {
        let topics = PAGES.map(|page| page.topic);
        let hint = nearest(&wanted, topics).map_or_else(
            || format!("there are: {}", topics.join(", ")),
            |meant| format!("did you mean '{meant}'?"),
        );
        let topic = crate::measure::shorten(topic);
        return Ok(Answer::refused(format!("error: the guide has no page '{topic}'; {hint}\n")));
    };
    if json {
        let answer = json!({ "topic": page.topic, "title": page.title(), "text": page.text });
        return Ok(Answer::new(format!("{answer:#}\n"), Ended::Done));
    }
    Ok(Answer::new(page.text.to_owned(), Ended::Done))
}
