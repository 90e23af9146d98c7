//! The form of one reading: its holes by name or by a tap on the picture, what it was taken with, its
//! numbers. Written into the job's text in one step.

use holefast::job::{NewReading, Setting, holes_wanted};
use holefast::measure::format::unit_name;
use holefast::reading::ReadingKind;
use leptos::prelude::*;

use crate::bench::setting_of;
use crate::hands::Hands;
use crate::words::prove as words;

/// Kinds that the form takes; places of many holes come from a camera, in the job's text.
const KINDS: [ReadingKind; 7] = [
    ReadingKind::Distance,
    ReadingKind::Went,
    ReadingKind::DidNotGo,
    ReadingKind::Offset,
    ReadingKind::Angle,
    ReadingKind::FiveCut,
    ReadingKind::TurnOver,
];

/// Most values of a kind.
const VALUES: usize = 3;

/// What stands in the form.
#[derive(Clone, Copy)]
pub struct Entry {
    hands: Hands,
    kind: RwSignal<ReadingKind>,
    with: RwSignal<Option<String>>,
    /// The holes, in the order of the kind; empty where none is chosen yet.
    pub holes: RwSignal<Vec<String>>,
    values: RwSignal<[String; VALUES]>,
    over: RwSignal<&'static str>,
    diameter: RwSignal<String>,
    u: RwSignal<String>,
    gap_at: RwSignal<&'static str>,
}

impl Entry {
    /// An empty form for a distance with the first thing that reads one.
    pub fn new(hands: Hands) -> Entry {
        let entry = Entry {
            hands,
            kind: RwSignal::new(ReadingKind::Distance),
            with: RwSignal::new(None),
            holes: RwSignal::new(Vec::new()),
            values: RwSignal::new(Default::default()),
            over: RwSignal::new("centres"),
            diameter: RwSignal::new(String::new()),
            u: RwSignal::new(String::new()),
            gap_at: RwSignal::new("fence"),
        };
        entry.with.set(entry.able().into_iter().next());
        entry
    }

    fn wants(self) -> usize {
        holes_wanted(self.kind.get_untracked()).len()
    }

    /// A tapped hole is the next one; tapped once more it is none.
    pub fn tap(self, name: &str) {
        let most = self.wants();
        self.holes.update(|holes| {
            holes.resize(most, String::new());
            if most < 4
                && let Some(at) = holes.iter().position(|h| h == name)
            {
                holes[at].clear();
            } else if let Some(at) = holes.iter().position(String::is_empty) {
                name.clone_into(&mut holes[at]);
            } else {
                *holes = vec![String::new(); most];
                name.clone_into(&mut holes[0]);
            }
        });
    }

    /// Takes a suggestion; the number is the person's.
    pub fn take(self, kind: &str, with: &str, holes: &[String]) {
        let Some(kind) = KINDS.into_iter().find(|k| k.name() == kind) else { return };
        self.turn_to(kind);
        self.with.set(Some(with.to_owned()));
        self.holes.set(holes.to_vec());
        crate::device::focus("reading-value-0");
    }

    fn turn_to(self, kind: ReadingKind) {
        self.kind.set(kind);
        self.holes.set(Vec::new());
        self.values.set(Default::default());
        self.with.set(self.able().into_iter().next());
    }

    /// Instruments that read this kind.
    fn able(self) -> Vec<String> {
        let kind = self.kind.get_untracked();
        self.hands.bench.with_untracked(|b| able_of(b, kind))
    }

    fn enter(self) {
        let kind = self.kind.get_untracked();
        let typed = self.values.get_untracked();
        let (keys, length) = (words::values(kind), |text: &str| setting_of(text));
        let mut rest: Vec<(String, Setting)> = Vec::new();
        if kind == ReadingKind::FiveCut {
            rest.push(("strip".to_owned(), Setting::List(vec![length(&typed[0]), length(&typed[1])])));
            rest.push(("length".to_owned(), length(&typed[2])));
        } else {
            let written = keys.iter().zip(&typed).filter(|(_, text)| !text.trim().is_empty());
            rest.extend(written.map(|((key, _), text)| ((*key).to_owned(), length(text))));
        }
        if kind == ReadingKind::TurnOver {
            rest.push(("gap_at".to_owned(), Setting::Text(self.gap_at.get_untracked().to_owned())));
        }
        if kind == ReadingKind::Distance && self.over.get_untracked() != "centres" {
            rest.push(("over".to_owned(), Setting::Text("pins".to_owned())));
            rest.push(("faces".to_owned(), Setting::Text(self.over.get_untracked().to_owned())));
            rest.push(("diameters".to_owned(), length(&self.diameter.get_untracked())));
        }
        let with = self.with.get_untracked();
        if with.is_none() {
            rest.push(("u".to_owned(), length(&self.u.get_untracked())));
        }
        let holes = self.holes.get_untracked().into_iter().map(|h| h.trim().to_uppercase());
        let new = NewReading { kind, with, holes: holes.filter(|h| !h.is_empty()).collect(), rest };
        self.hands.change(|b| b.add_reading(&new));
        if self.hands.trouble.with_untracked(Option::is_none) {
            self.holes.set(Vec::new());
            self.values.set(Default::default());
        }
    }
}

fn able_of(bench: &crate::bench::Bench, kind: ReadingKind) -> Vec<String> {
    let all = bench.laid().map(|l| l.job.proof.instruments.as_slice()).unwrap_or_default();
    all.iter().filter(|i| i.reads.contains(&kind.as_read())).map(|i| i.name.clone()).collect()
}

/// The form.
#[component]
pub fn Enter(hands: Hands, entry: Entry) -> impl IntoView {
    let able = Memo::new(move |_| {
        let kind = entry.kind.get();
        hands.bench.with(|b| able_of(b, kind))
    });
    // An instrument that was added or taken out meanwhile.
    Effect::new(move || {
        let able = able.get();
        if !entry.with.get_untracked().is_some_and(|w| able.contains(&w)) {
            entry.with.set(able.into_iter().next());
        }
    });
    let unit = move || hands.bench.with(|b| b.laid().map_or("", |l| unit_name(l.job.units)));
    let shown = RwSignal::new(0_u32);
    let labelled = move |id: String, label: &'static str, value: Signal<String>, put: Callback<String>| {
        let field = id.clone();
        view! {
            <label for=id>{label}<span class="in"><input id=field type="text" inputmode="decimal" autocomplete="off"
                prop:value=move || { shown.track(); value.get() }
                on:input=move |event| put.run(event_target_value(&event))/><i>{unit}</i></span></label>
        }
        .into_any()
    };
    let kind_typed = move |event: web_sys::Event| {
        let name = event_target_value(&event);
        if let Some(kind) = KINDS.into_iter().find(|k| k.name() == name) {
            entry.turn_to(kind);
        }
    };
    view! {
        <form id="enter" on:submit=move |event: web_sys::SubmitEvent| { event.prevent_default(); entry.enter(); }>
        <h2>{words::ENTER}</h2>
        <p class="line">{words::HOW}</p>
        <div class="fields one">
            <label for="reading-kind">{words::KIND}<span class="in"><select id="reading-kind" on:change=kind_typed>
                {KINDS.into_iter().map(|kind| view! {
                    <option value=kind.name() prop:selected=move || entry.kind.get() == kind>{words::kind(kind)}</option>
                }).collect_view()}
            </select></span></label>
            {choice("reading-with", words::WITH, Signal::derive(move || {
                let mut all: Vec<(String, String)> = able.get().into_iter().map(|n| (n.clone(), n)).collect();
                all.push((String::new(), words::WITHOUT.to_owned()));
                all
            }), Signal::derive(move || entry.with.get().unwrap_or_default()),
                Callback::new(move |typed: String| entry.with.set((!typed.is_empty()).then_some(typed))))}
        </div>
        <div class="fields">
            {move || holes_wanted(entry.kind.get()).iter().enumerate().map(|(i, &label)| {
                let id = format!("reading-hole-{i}");
                let field = id.clone();
                view! { <label for=id>{label}<span class="in"><input id=field type="text" autocomplete="off" autocapitalize="characters"
                    prop:value=move || entry.holes.with(|h| h.get(i).cloned().unwrap_or_default())
                    on:change=move |event| entry.holes.update(|h| {
                        let most = entry.wants();
                        h.resize(most, String::new());
                        if let Some(slot) = h.get_mut(i) { *slot = event_target_value(&event).trim().to_uppercase(); }
                    })/></span></label> }
            }).collect_view()}
            {move || words::values(entry.kind.get()).iter().enumerate().map(|(i, &(_, label))| {
                labelled(format!("reading-value-{i}"), label,
                    Signal::derive(move || entry.values.with(|v| v[i].clone())),
                    Callback::new(move |typed| entry.values.update(|v| v[i] = typed)))
            }).collect_view()}
            {move || (entry.with.get().is_none()).then(|| labelled("reading-u".to_owned(), words::ITS_U,
                entry.u.into(), Callback::new(move |typed| entry.u.set(typed))))}
        </div>
        <div class="fields one">
            {move || (entry.kind.get() == ReadingKind::Distance).then(|| fixed_choice("reading-over", words::OVER, &words::OVERS, entry.over))}
            {move || (entry.kind.get() == ReadingKind::Distance && entry.over.get() != "centres").then(|| labelled(
                "reading-diameter".to_owned(), words::DIAMETER, entry.diameter.into(),
                Callback::new(move |typed| entry.diameter.set(typed))))}
            {move || (entry.kind.get() == ReadingKind::TurnOver).then(|| fixed_choice("reading-gap-at", words::GAP_AT, &words::GAPS, entry.gap_at))}
        </div>
        {move || matches!(entry.kind.get(), ReadingKind::FiveCut | ReadingKind::TurnOver).then(|| view! {
            <p class="note">{words::CAUTION}</p>
        })}
        <p class="row"><button id="enter-reading" class="btn strong" type="submit">{words::ENTER_IT}</button>
            <button class="btn" type="button" on:click=move |_| entry.holes.set(Vec::new())>{words::OTHER_HOLES}</button></p>
        <div aria-live="polite">{move || hands.trouble.get().map(|fault| view! {
            <div class="note"><b>{holefast::words::sentence(&fault.message)}</b>
                {fault.hint.map(|h| holefast::words::sentence(&h))}</div>
        })}</div>
        </form>
    }
    .into_any()
}

/// A choice among texts that change.
fn choice(
    id: &'static str,
    label: &'static str,
    all: Signal<Vec<(String, String)>>,
    chosen: Signal<String>,
    put: Callback<String>,
) -> AnyView {
    view! {
        <label for=id>{label}<span class="in"><select id=id on:change=move |event| put.run(event_target_value(&event))>
            {move || { let now = chosen.get(); all.get().into_iter().map(|(value, said)| {
                let is = value == now;
                view! { <option value=value prop:selected=is>{said}</option> }
            }).collect_view() }}
        </select></span></label>
    }
    .into_any()
}

fn fixed_choice(
    id: &'static str,
    label: &'static str,
    all: &'static [(&'static str, &'static str)],
    chosen: RwSignal<&'static str>,
) -> AnyView {
    let put = move |typed: String| {
        if let Some((value, _)) = all.iter().find(|(value, _)| *value == typed) {
            chosen.set(value);
        }
    };
    let listed: Vec<(String, String)> = all.iter().map(|(v, said)| ((*v).to_owned(), (*said).to_owned())).collect();
    choice(
        id,
        label,
        Signal::derive(move || listed.clone()),
        Signal::derive(move || chosen.get().to_owned()),
        Callback::new(put),
    )
}
