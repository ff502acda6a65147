//! Holds the solver to a second one that was written from the rules alone and shares no code with it.

use crate::oracle::{naive, tangle, typed_out};
use kitwright::kit::{Ask, audit, work_out};
use kitwright::measure::Key;
use serde_json::{Value, json};

/// Leaves what the rules settle, in an order that the rules do not settle.
fn comparable(answer: &Value) -> Value {
    let part = |value: &Value| {
        value.as_str().map(|text| text.to_lowercase().replace(['-', ' ', '.', '/'], ""))
    };
    let sorted = |key: &str, pick: &dyn Fn(&Value) -> Value| {
        let mut items: Vec<String> =
            answer[key].as_array().expect(key).iter().map(|item| pick(item).to_string()).collect();
        items.sort();
        items
    };
    let covered = |position: &Value| {
        let mut covers: Vec<String> = position["covered"]
            .as_array()
            .expect("covered")
            .iter()
            .map(|cover| json!([part(&cover["by"]), cover["quantity"].as_f64()]).to_string())
            .collect();
        covers.sort();
        covers
    };
    json!({
        "complete": answer["complete"],
        "operations": answer["operations"].as_array().expect("operations").iter().map(|o| o["operation"].clone()).collect::<Vec<_>>(),
        "joints": sorted("joints", &|joint| json!(joint.as_str().map(str::to_lowercase))),
        "positions": answer["positions"].as_array().expect("positions").iter().map(|p| json!({
            "position": p["position"], "action": p["action"], "role": p["role"], "current": p["current"],
            "parts": p["parts"].as_array().expect("parts").iter().map(|q| json!([
                q["part"], q["quantity"].as_f64(), q["unit"], q["chain"]
            ])).collect::<Vec<_>>(),
            "covered": covered(p),
        })).collect::<Vec<_>>(),
        "lines": sorted("lines", &|line| json!([line["part"], line["quantity"].as_f64(), line["unit"], line["role"], line["positions"]])),
        "gaps": sorted("gaps", &|gap| json!([gap["kind"], gap["subject"]])),
    })
}

fn answers(seed: u64) -> (Result<Value, String>, Result<Value, String>) {
    let (tables, ask) = tangle::tangle(seed);
    let naive = naive::solve(&tables, &ask);
    let catalog = typed_out::catalog(&tables);
    let ask = Ask {
        machine: Some(Key::new(&ask.machine)),
        jobs: ask.jobs.iter().map(|job| Key::new(job)).collect(),
        options: ask.options.iter().map(|option| Key::new(option)).collect(),
        ..Ask::default()
    };
    let ours = work_out(&ask, &catalog).map_err(|refusal| refusal.to_string()).map(|kit| {
        let findings: Vec<String> =
            audit(&ask, &kit, &catalog).iter().map(ToString::to_string).collect();
        assert!(findings.is_empty(), "catalog {seed}: the audit disagrees: {findings:#?}");
        serde_json::to_value(kit).expect("plain data")
    });
    (ours, naive)
}

#[test]
fn both_solvers_agree_on_tangled_catalogs() {
    let from: u64 =
        std::env::var("TANGLE_FROM").ok().and_then(|text| text.parse().ok()).unwrap_or(0);
    let count: u64 =
        std::env::var("TANGLE_COUNT").ok().and_then(|text| text.parse().ok()).unwrap_or(20_000);
    let mut differ = Vec::new();
    for seed in from..from + count {
        let (ours, naive) = answers(seed);
        let alike = match (&ours, &naive) {
            (Ok(ours), Ok(naive)) => comparable(ours) == comparable(naive),
            (Err(_), Err(_)) => true,
            _ => false,
        };
        if !alike {
            if differ.len() < 20 {
                let show = |answer: &Result<Value, String>| {
                    answer.as_ref().map_or_else(|e| json!({ "refused": e }), comparable)
                };
                let (ours, naive) = (show(&ours), show(&naive));
                for (key, value) in ours.as_object().expect("an object") {
                    if naive[key] != *value {
                        println!(
                            "catalog {seed}, {key}:\n  solver {value}\n  naive  {}",
                            naive[key]
                        );
                    }
                }
            }
            differ.push(seed);
        }
    }
    assert!(
        differ.is_empty(),
        "{} of {count} differ: {:?}",
        differ.len(),
        &differ[..differ.len().min(20)]
    );
}
