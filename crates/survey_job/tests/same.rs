//! What a bench answers is what `hand` answers, to the last bit.
use hand::advice::{advice, greatest_axis};
use hand::flesh::Kind;
use hand::survey::{Ends, LimitKind, Stay, Survey, Sweep, Tolerance, greatest, stay};
use hand::{Pivot, Recipe, press_dials};
use rig::{Document, Posed, Rig};
use std::path::Path;
use survey_job::{Answer, Bench, How, Lane, Order, Question, Reach, Reply, Side, Stays, built};

fn examples() -> Vec<(String, Document)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut all: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            (
                path.display().to_string(),
                hand::read(&text).expect("it reads"),
            )
        })
        .filter(|(_, document)| press_dials(document).len() > 2)
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert!(all.len() > 3, "too few hands that press");
    all
}

fn send(bench: &mut Bench, order: &Order) {
    bench
        .take(&serde_json::to_string(order).unwrap())
        .expect("it is taken");
}

fn ask(bench: &mut Bench, number: u32, question: Question) {
    send(bench, &Order::Ask { number, question });
}

/// As it crosses to the page.
fn crossed(reply: &Reply) -> Reply {
    let text = serde_json::to_string(reply).unwrap();
    Reply {
        numbers: reply.numbers.clone(),
        ..serde_json::from_str(&text).unwrap()
    }
}

/// The last reply, every slice cut as short as it can be.
fn answered(bench: &mut Bench) -> Reply {
    let mut last = None;
    let mut part = 0.0;
    while let Some(reply) = bench.step(&mut || false) {
        assert!(reply.part >= part, "progress goes on");
        part = reply.part;
        last = Some(reply);
    }
    let last = crossed(&last.expect("an answer"));
    assert!(last.done);
    last
}

/// The figure of a document, as the bench reads it.
fn bench(document: &Document) -> Bench {
    let mut bench = Bench::default();
    send(&mut bench, &Order::Figure(rig::write(document)));
    bench
}

fn bits(numbers: &[f64]) -> Vec<u64> {
    numbers.iter().map(|x| x.to_bits()).collect()
}

/// Every press but the two that are swept a little off neutral.
fn stood(document: &Document) -> (Posed, Sweep, Sweep) {
    let mut posed = Posed::new(document).unwrap();
    let dials = press_dials(posed.rig());
    for (at, &dial) in dials.iter().enumerate().skip(1) {
        posed.set_dial(dial, 1.37 * at as f64);
    }
    posed.evaluate();
    let sweep = |dial| {
        let dial = posed.rig().dial(dial).unwrap();
        Sweep {
            dial: dial.id,
            from: dial.min / 3.0,
            to: dial.max / 3.0,
            count: 21,
        }
    };
    let (across, up) = (sweep(dials[0]), sweep(dials[2]));
    (posed, across, up)
}

fn survey_of(posed: &Posed, across: Sweep, up: Sweep) -> Question {
    Question::Survey {
        standing: posed.setting().clone(),
        across: Side::new(posed.rig(), across).unwrap(),
        up: Side::new(posed.rig(), up).unwrap(),
    }
}

/// Some dials are ended by a slip, others by depth.
const TOLERANCE: Tolerance = Tolerance {
    slip: 0.5,
    pad: 4.0,
    palm: 4.0,
};

/// How many cells hit a limit.
fn same_survey(name: &str, document: &Document) -> usize {
    let (posed, across, up) = stood(document);
    let ours = Survey::run(&posed, across, up);
    let mut bench = bench(document);
    ask(&mut bench, 1, survey_of(&posed, across, up));
    let reply = answered(&mut bench);
    match ours {
        Err(fault) => {
            let why = format!("{}; {}.", fault.what(), fault.mend());
            assert_eq!(reply.answer, Answer::Refused(why), "{name}");
            0
        }
        Ok(ours) => {
            assert_eq!(reply.answer, Answer::Survey);
            assert_eq!(
                bits(&reply.numbers),
                bits(&ours.packed(posed.rig())),
                "{name}"
            );
            let read = Survey::unpacked(posed.rig(), &reply.numbers);
            assert_eq!(read.as_ref(), Some(&ours), "{name}");
            assert!(read.unwrap().is_of(&posed));
            ours.cells
                .iter()
                .filter(|cell| cell.limit.is_some())
                .count()
        }
    }
}

#[test]
fn a_survey_is_the_same() {
    let all = examples().into_iter();
    let limits: usize = all
        .map(|(name, document)| same_survey(&name, &document))
        .sum();
    assert!(limits > 0, "no limit was hit");
}

/// Ids are not in files: after edits another reading has others.
#[test]
fn a_survey_is_the_same_when_ids_differ() {
    let mut differ = 0;
    for (name, document) in examples() {
        let mut history = rig::History::new(Posed::new(&document).unwrap());
        let added = rig::Edit::AddNode {
            name: "lamp".into(),
            kind: rig::Kind::Mount,
            parent: None,
            at: rig::Vec3::new(0.0, 300.0, 0.0),
            width: 10.0,
        };
        history.edit(&added).expect("it is added");
        let document = history.document().clone();
        let again = hand::read(&rig::write(&document)).unwrap();
        let ids = |d: &Document| {
            let nodes = d.nodes.iter().map(|n| n.id.0);
            nodes
                .chain(d.anchors.iter().map(|a| a.id.0))
                .collect::<Vec<_>>()
        };
        differ += u32::from(ids(&again) != ids(&document));
        same_survey(&name, &document);
    }
    assert!(
        differ > 2,
        "only {differ} documents have other ids than their files"
    );
}

fn recipes() -> Vec<Recipe> {
    let all = examples().into_iter();
    let all: Vec<_> = all
        .filter_map(|(_, document)| document.hand.as_deref().cloned())
        .filter(|recipe| recipe.planting.is_some())
        .collect();
    assert!(all.len() > 2);
    all
}

fn same_stays(theirs: &Stays, ours: Stay, rig: &Rig) {
    assert_eq!(theirs.value.to_bits(), ours.value.to_bits());
    let first = theirs.first.as_ref().map(|who| rig.nodes[who.node].id);
    assert_eq!((first, theirs.count), (ours.first, ours.count));
}

fn same_reach(reach: Option<Reach>, posed: &Posed, dial: rig::DialId, rising: bool) {
    let ours = greatest(posed, dial, rising, &TOLERANCE);
    assert_eq!(reach.is_some(), ours.is_some());
    let Some((theirs, ours)) = reach.zip(ours) else {
        return;
    };
    assert_eq!(theirs.value.to_bits(), ours.value.to_bits());
    let rig = posed.rig();
    same_stays(&theirs.stays, stay(posed, dial, rising).unwrap(), rig);
    let ended = theirs.ended.map(|ended| {
        assert!(ended.told().contains(&ended.who));
        (ended.how, rig.nodes[ended.node].id)
    });
    let ends = ours.stopped_by.map(|ends| match ends {
        Ends::Slips(node) => (How::Slips, node),
        Ends::Sinks(node, Kind::Pad) => (How::Sinks, node),
        Ends::Sinks(node, Kind::Palm) => (How::PalmSinks, node),
        Ends::Limit(limit) => {
            let how = match limit.kind {
                LimitKind::Reach => How::Reach,
                LimitKind::Joint { .. } => How::Limit,
            };
            (how, rig.anchor(limit.anchor).unwrap().end)
        }
    });
    assert_eq!(ended, ends);
}

#[test]
fn how_far_dials_go_is_the_same() {
    for (_, document) in examples() {
        let (posed, across, _) = stood(&document);
        let mut bench = bench(&document);
        let question = Question::reach(&posed, across.dial, true, TOLERANCE).unwrap();
        ask(&mut bench, 1, question);
        let Answer::Reach(reach) = answered(&mut bench).answer else {
            panic!("a reach")
        };
        same_reach(reach, &posed, across.dial, true);
        let standing = posed.setting().clone();
        let dials: Vec<_> = (0..posed.rig().dials.len()).collect();
        let spans = Question::Spans {
            standing,
            dials: dials.clone(),
            tolerance: TOLERANCE,
        };
        ask(&mut bench, 2, spans);
        let Answer::Spans(spans) = answered(&mut bench).answer else {
            panic!("spans")
        };
        assert_eq!(spans.len(), dials.len());
        for (at, [down, up]) in spans.into_iter().enumerate() {
            let dial = posed.rig().dials[at].id;
            same_reach(down, &posed, dial, false);
            same_reach(up, &posed, dial, true);
        }
    }
}

#[test]
fn the_best_axis_and_advice_with_it_are_the_same() {
    for recipe in recipes().into_iter().take(2) {
        let mut bench = Bench::default();
        let posed = built(&recipe).unwrap();
        let question = Question::Seek {
            recipe: Box::new(recipe.clone()),
            tolerance: TOLERANCE,
        };
        ask(&mut bench, 1, question);
        let Answer::Seek(found) = answered(&mut bench).answer else {
            panic!("a place")
        };
        let ours = greatest_axis(&posed, &TOLERANCE).unwrap();
        assert_eq!(found.placed(posed.rig()), ours);
        let lift = press_dials(posed.rig())[0];
        let question = Question::advice(&posed, lift, true, TOLERANCE, Some(found)).unwrap();
        send(&mut bench, &Order::Figure(rig::write(posed.document())));
        ask(&mut bench, 2, question);
        let Answer::Advice(advised) = answered(&mut bench).answer else {
            panic!("advice")
        };
        let ours = advice(&posed, lift, true, &TOLERANCE, Some(ours)).unwrap();
        assert_eq!(advised.reach.value.to_bits(), ours.safe.value.to_bits());
        same_stays(&advised.reach.stays, ours.stay, posed.rig());
        let back = stay(&posed, lift, false).unwrap();
        same_stays(&advised.back, back, posed.rig());
        let left = advised.left.iter();
        let left: Vec<_> = left
            .map(|(who, mm)| (posed.rig().nodes[who.node].id, *mm))
            .collect();
        let margins = ours.margins.iter();
        let margins: Vec<_> = margins.map(|margin| (margin.node, margin.mm)).collect();
        assert_eq!(left, margins);
        assert_eq!(advised.helps.len(), ours.remedies.len());
        for (theirs, ours) in advised.helps.iter().zip(&ours.remedies) {
            assert_eq!(theirs.told, ours.told);
            assert_eq!(theirs.value.to_bits(), ours.value.to_bits());
            assert_eq!(theirs.recipe, ours.recipe);
        }
        let pivots = vec![Pivot::default(), found.pivot];
        let question = Question::Lifts {
            recipe: Box::new(recipe.clone()),
            pivots: pivots.clone(),
            tolerance: TOLERANCE,
        };
        ask(&mut bench, 3, question);
        let Answer::Lifts(lifts) = answered(&mut bench).answer else {
            panic!("lifts")
        };
        for (lift, pivot) in lifts.into_iter().zip(pivots) {
            let mut recipe = recipe.clone();
            recipe.planting.as_mut().unwrap().pivot = pivot;
            let posed = built(&recipe).unwrap();
            same_reach(lift, &posed, press_dials(posed.rig())[0], true);
        }
    }
}

#[test]
fn the_newest_of_a_lane_is_worked_at_and_what_is_left_is_not() {
    let (_, document) = examples().into_iter().next().unwrap();
    let (posed, across, up) = stood(&document);
    let mut bench = bench(&document);
    let survey = survey_of(&posed, across, up);
    ask(&mut bench, 1, survey.clone());
    let first = bench.step(&mut || false).unwrap();
    assert!(first.number == 1 && !first.done && !first.numbers.is_empty());
    ask(&mut bench, 2, survey.clone());
    // A short question of another lane goes before.
    ask(
        &mut bench,
        3,
        Question::reach(&posed, across.dial, true, TOLERANCE).unwrap(),
    );
    let numbers: Vec<_> = std::iter::from_fn(|| bench.step(&mut || true)).collect();
    let numbers: Vec<_> = numbers
        .iter()
        .map(|reply| (reply.number, reply.done))
        .collect();
    assert_eq!(numbers, [(3, true), (2, true)]);
    ask(&mut bench, 4, survey);
    assert!(bench.step(&mut || false).is_some());
    send(&mut bench, &Order::Leave(Lane::Survey));
    assert!(bench.step(&mut || false).is_none());
}

#[test]
fn what_cannot_be_answered_is_refused_in_words() {
    let (_, document) = examples().into_iter().next().unwrap();
    let (posed, across, up) = stood(&document);
    let mut bench = Bench::default();
    ask(&mut bench, 1, survey_of(&posed, across, up));
    let why = Answer::Refused("There is no figure to ask about.".into());
    assert_eq!(answered(&mut bench).answer, why);
    assert!(bench.take("{}").is_err());
    assert!(bench.take(r#"{"figure": "{}"}"#).is_err());
    assert!(Survey::unpacked(posed.rig(), &[0.0, 1.0]).is_none());
    let survey = Survey::run(&posed, across, up).unwrap();
    let packed = survey.packed(posed.rig());
    assert!(Survey::unpacked(posed.rig(), &packed[..packed.len() - 1]).is_none());
}
