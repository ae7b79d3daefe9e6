//! A whole job by hand: every place of the plan typed into its boxes on the phone, the lead's word, the sheet.

use std::collections::HashMap;
use std::time::{Duration, Instant};

use gudgeon::engine::Stage;
use serde_json::Value;

use super::rig::{Screen, on_screen};
use crate::sheet::{document, rebuilt, said};

const NEXT: &str = "[data-part=next]";

/// What is read at each place of the plan: the rebuild that the sheet's tests type at the terminal.
fn readings() -> HashMap<(String, String), Vec<String>> {
    let desk = rebuilt();
    let sheet: Value = serde_json::from_slice(&document(said(&desk, "lead", "sheet 1 format=json")).content).unwrap();
    let text = |reading: &Value, name: &str| reading[name].as_str().unwrap().to_owned();
    let values = |reading: &Value| text(reading, "typed").split_whitespace().map(str::to_owned).collect();
    let all = sheet["readings"].as_array().unwrap();
    let place = |reading: &Value| Some(text(reading, "position")).filter(|place| !place.is_empty());
    let named = |reading: &Value| (text(reading, "check"), place(reading).unwrap_or_else(|| "-".to_owned()));
    all.iter().map(|one| (named(one), values(one))).collect()
}

/// The check and the place whose boxes are open, other than those before; none where the plan has nothing left.
async fn asked(screen: &Screen, before: Option<&(String, String)>) -> Option<(String, String)> {
    let script = format!(
        "const form = document.querySelector('{NEXT} form:has(input[name=check])'); \
         if (!form) return document.querySelector('{NEXT}').textContent.includes('Every check of the plan has a reading') ? 'done' : null; \
         return [form.elements.check.value, form.elements.position ? form.elements.position.value : '-']"
    );
    let end = Instant::now() + Duration::from_secs(30);
    loop {
        let found = screen.eval(&script).await;
        let place = (found[0].as_str().map(str::to_owned)).zip(found[1].as_str().map(str::to_owned));
        match place {
            Some(place) if before != Some(&place) => return Some(place),
            None if found == "done" => return None,
            _ => assert!(Instant::now() < end, "stuck at {before:?}: {}", screen.text(NEXT).await),
        }
        tokio::time::sleep(Duration::from_millis(15)).await;
    }
}

#[test]
fn a_whole_job_is_posted_by_hand_and_accepted() {
    let readings = readings();
    on_screen(async |screen| {
        screen.size(360, 740).await;
        screen.be("tech-1").await;
        screen.say("job open fulmar-four Van engine, green door").await;
        screen.goto("/job/2").await;
        let (mut posted, mut before) = (0, None);
        while let Some(place) = asked(screen, before.as_ref()).await {
            let values = readings.get(&place).unwrap_or_else(|| panic!("nothing was read for {place:?}"));
            for (at, value) in values.iter().enumerate() {
                screen.fill(&format!("{NEXT} .boxes label:nth-child({}) input", at + 1), value).await;
            }
            screen.press(&format!("{NEXT} .asked .primary")).await;
            (posted, before) = (posted + 1, Some(place));
        }
        assert_eq!(posted, readings.len(), "each place once");
        screen.shot("whole-posted").await;

        // The lead takes each stage, what is not inside by its number and with a word, and signs.
        screen.be("lead").await;
        for stage in Stage::ALL {
            screen.say(&format!("review accept stage={} job=2", stage.slug())).await;
        }
        let left = sheet(screen);
        for reading in left["readings"].as_array().unwrap().iter().filter(|reading| reading["review"].is_null()) {
            screen.say(&format!("review accept {} comment=\"measured twice, stands\"", reading["reading"])).await;
        }
        for stage in ["crank", "pistons-in", "prove"] {
            screen.say(&format!("job sign {stage} job=2")).await;
        }
        screen.say("job close 2").await;
        screen.goto("/job/2").await;
        screen.shot("whole-closed").await;
        let sheet = sheet(screen);
        let count = &sheet["count"];
        assert_eq!((&count["posted"], &count["accepted"]), (&count["planned"], &count["planned"]));
        assert_eq!((&sheet["closed"], sheet["missing"].as_array().unwrap().len()), (&Value::Bool(true), 0));
    });
}

/// The job's sheet as data.
fn sheet(screen: &Screen) -> Value {
    let document = document(said(&screen.shop.desk, "lead", "sheet 2 format=json"));
    serde_json::from_slice(&document.content).unwrap()
}
