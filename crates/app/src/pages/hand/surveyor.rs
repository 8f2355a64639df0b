//! A worker that surveys, for one part of the page: started when first asked, ended when that part
//! goes. What it cannot answer any more is told, with a way to try again.
use leptos::prelude::*;
use rig::Document;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::time::Duration;
use survey_job::{Lane, Order, Question, Reply};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_namespace = window, js_name = handstandSurveyor, catch)]
    fn start_worker() -> Result<web_sys::Worker, JsValue>;
}

/// How often a silent worker is looked at. Looks are counted, not seconds: a page that was asleep
/// has missed answers and looks alike.
const LOOK: Duration = Duration::from_secs(2);
/// Looks after which a worker that has spoken is given up …
const SILENT: u32 = 5;
/// … and one that still has to load.
const LOADING: u32 = 15;

type Hear = Rc<dyn Fn(Reply)>;

/// Copy: a bundle of signals.
#[derive(Clone, Copy)]
pub struct Surveyor {
    /// Why it answers no more.
    pub fault: RwSignal<Option<String>>,
    desk: StoredValue<Desk, LocalStorage>,
}

#[derive(Default)]
struct Desk {
    worker: Option<Running>,
    /// What the last question was about, and whether this worker has it.
    figure: Option<Document>,
    told: bool,
    /// The last question's number.
    number: u32,
    waiting: BTreeMap<Lane, Waiting>,
    watched: bool,
    /// Looks since it last spoke, and whether it ever did.
    silent: u32,
    spoke: bool,
}

struct Running {
    worker: web_sys::Worker,
    // Kept while they can be called.
    _hear: Closure<dyn FnMut(web_sys::MessageEvent)>,
    _fail: Closure<dyn FnMut(web_sys::Event)>,
}

struct Waiting {
    number: u32,
    question: Question,
    hear: Hear,
}

impl Drop for Running {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

impl Surveyor {
    /// For the component that calls this.
    pub fn new() -> Self {
        let surveyor = Self {
            fault: RwSignal::new(None),
            desk: StoredValue::new_local(Desk::default()),
        };
        on_cleanup(move || {
            surveyor.desk.try_set_value(Desk::default());
        });
        surveyor
    }

    /// Asks about a figure's pose; `hear` gets every reply until a newer question replaces this.
    pub fn ask_about(
        self,
        document: &Document,
        question: Question,
        hear: impl Fn(Reply) + 'static,
    ) {
        self.desk.update_value(|desk| {
            let same = |had: &Document| had.rig.is_same(&document.rig);
            if !desk.figure.as_ref().is_some_and(same) {
                desk.figure = Some(document.clone());
                desk.told = false;
            }
        });
        self.ask(question, hear);
    }

    /// Asks what is about no figure.
    pub fn ask(self, question: Question, hear: impl Fn(Reply) + 'static) {
        let lane = question.lane();
        self.desk.update_value(|desk| {
            desk.number += 1;
            let waiting = Waiting {
                number: desk.number,
                question,
                hear: Rc::new(hear),
            };
            desk.waiting.insert(lane, waiting);
        });
        self.send(lane);
    }

    /// Wants no answer in this lane any more.
    pub fn leave(self, lane: Lane) {
        self.desk.update_value(|desk| {
            if desk.waiting.remove(&lane).is_some()
                && let Some(running) = &desk.worker
            {
                post(&running.worker, &Order::Leave(lane));
            }
        });
    }

    /// Starts another worker, which is asked what the last one did not answer.
    pub fn retry(self) {
        self.fault.set(None);
        let lanes: Vec<_> = (self.desk).with_value(|desk| desk.waiting.keys().copied().collect());
        lanes.into_iter().for_each(|lane| self.send(lane));
    }

    fn send(self, lane: Lane) {
        // Kept for another try.
        if self.fault.with_untracked(Option::is_some) {
            return;
        }
        if self.desk.with_value(|desk| desk.worker.is_none()) {
            match self.start() {
                Ok(running) => self.desk.update_value(|desk| {
                    desk.worker = Some(running);
                    (desk.told, desk.spoke, desk.silent) = (false, false, 0);
                }),
                Err(why) => return self.fail(&spoken(&why)),
            }
        }
        let watch = self.desk.try_update_value(|desk| {
            let (Some(running), Some(waiting)) = (&desk.worker, desk.waiting.get(&lane)) else {
                return false;
            };
            if let Some(figure) = desk.figure.as_ref().filter(|_| !desk.told) {
                post(&running.worker, &Order::Figure(rig::write(figure)));
                desk.told = true;
            }
            let (number, question) = (waiting.number, waiting.question.clone());
            post(&running.worker, &Order::Ask { number, question });
            !std::mem::replace(&mut desk.watched, true)
        });
        if watch == Some(true) {
            set_timeout(move || self.watch(), LOOK);
        }
    }

    fn start(self) -> Result<Running, JsValue> {
        let worker = start_worker()?;
        let hear = Closure::new(move |e: web_sys::MessageEvent| self.hear(&e.data()));
        let fail = Closure::new(move |e: web_sys::Event| {
            e.prevent_default();
            self.fail("it could not be loaded, or a mistake in it stopped it");
        });
        worker.set_onmessage(Some(hear.as_ref().unchecked_ref()));
        worker.set_onerror(Some(fail.as_ref().unchecked_ref()));
        Ok(Running {
            worker,
            _hear: hear,
            _fail: fail,
        })
    }

    fn hear(self, data: &JsValue) {
        let parts = js_sys::Array::from(data);
        let Some(text) = parts.get(0).as_string() else {
            return self.fail(&spoken(&parts.get(1)));
        };
        let Ok(mut reply) = serde_json::from_str::<Reply>(&text) else {
            return self.fail("its answer cannot be read");
        };
        if let Ok(numbers) = parts.get(1).dyn_into::<js_sys::Float64Array>() {
            reply.numbers = numbers.to_vec();
        }
        let hear = self.desk.try_update_value(|desk| {
            (desk.spoke, desk.silent) = (true, 0);
            // An answer that a newer question replaced is nobody's.
            let all = desk.waiting.iter();
            let mut mine = all.filter(|(_, waiting)| waiting.number == reply.number);
            let (lane, hear) = mine.next().map(|(lane, w)| (*lane, w.hear.clone()))?;
            if reply.done {
                desk.waiting.remove(&lane);
            }
            Some(hear)
        });
        if let Some(Some(hear)) = hear {
            hear(reply);
        }
    }

    fn watch(self) {
        let given_up = self.desk.try_update_value(|desk| {
            desk.watched = !desk.waiting.is_empty() && desk.worker.is_some();
            desk.silent += u32::from(desk.watched);
            let most = if desk.spoke { SILENT } else { LOADING };
            desk.watched.then_some(desk.silent > most)
        });
        match given_up.flatten() {
            Some(true) => self.fail("it does not answer"),
            Some(false) => set_timeout(move || self.watch(), LOOK),
            None => {}
        }
    }

    fn fail(self, why: &str) {
        // Its own callback may be what runs: that is dropped when nothing runs.
        let ended = self.desk.try_update_value(|desk| desk.worker.take());
        if let Some(Some(running)) = ended {
            running.worker.terminate();
            set_timeout(move || drop(running), Duration::ZERO);
        }
        let _ = self.fault.try_set(Some(why.to_owned()));
    }
}

fn post(worker: &web_sys::Worker, order: &Order) {
    let text = serde_json::to_string(order).expect("names and numbers always serialise");
    // Text can always be sent.
    let _ = worker.post_message(&text.into());
}

fn spoken(why: &JsValue) -> String {
    let error = why.dyn_ref::<js_sys::Error>();
    let text = error.map(|error| String::from(error.message()));
    text.or(why.as_string())
        .unwrap_or_else(|| "it could not be started".into())
}

/// Tells that it stopped.
#[component]
pub fn Stopped(surveyor: Surveyor) -> impl IntoView {
    move || {
        surveyor.fault.get().map(|why| {
            view! {
                <p class="map-fault" role="alert">
                    {format!("What surveys this hand has stopped: {why}. The hand itself is as it was. ")}
                    <button class="tool" on:click=move |_| surveyor.retry()>"Survey again"</button>
                </p>
            }
        })
    }
}
