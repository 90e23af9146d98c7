//! The drawing that is touched: fingers, mouse and keys on it, a nearer look, and what touching
//! changes. What is held and what becomes of it is `grip`'s matter.

use holefast::top::{Cell, Point};
use kurbo::Vec2;
use leptos::prelude::*;
use web_sys::PointerEvent;

use crate::grip::{Pull, Touch};
use crate::hands::Hands;
use crate::look::Look;
use crate::{device, drawing, words};

/// A finger finds what lies within so much of it, px on the screen: half a target.
const FINGER: f64 = 24.0;

/// A mouse is finer.
const MOUSE: f64 = 10.0;

/// One press of a button, or one turn of a wheel, looks nearer by this factor.
const NEARER: f64 = 1.5;

/// What is on the drawing just now.
#[derive(Clone, Default)]
struct Fingers {
    /// Those that are down, with their last place on the screen.
    down: Vec<(i32, [f64; 2])>,
    /// What one of them pulls.
    pull: Option<Pull>,
    /// The sheet itself is pulled along, the look being nearer.
    drags: bool,
}

#[derive(Clone, Copy)]
struct Board {
    hands: Hands,
    look: RwSignal<Look>,
    touch: RwSignal<Touch>,
    fingers: StoredValue<Fingers>,
    node: NodeRef<leptos::html::Div>,
    width: f64,
}

impl Board {
    /// The point of the top under a place of the screen, and mm of the top to a px.
    fn on_top(self, [x, y]: [f64; 2]) -> Option<(Point, f64)> {
        let element = self.node.get_untracked()?.query_selector("svg").ok()??;
        let lies = element.get_bounding_client_rect();
        let view = self.hands.bench.with_untracked(|b| drawing::view(b, self.look.get_untracked(), self.width))?;
        let paper = view.width() / lies.width();
        if !(paper.is_finite() && paper > 0.0) {
            return None;
        }
        Some((view.to_top([(x - lies.left()) * paper, (y - lies.top()) * paper]), paper * view.ratio))
    }

    fn whole(self) -> Option<holefast::drawing::View> {
        self.hands.bench.with_untracked(|b| drawing::view(b, Look::Whole, self.width))
    }

    fn nearer(self, at: Option<Point>, factor: f64) {
        let Some(whole) = self.whole() else { return };
        let middle = self
            .hands
            .bench
            .with_untracked(|b| drawing::view(b, self.look.get_untracked(), self.width))
            .map_or(whole.clip.center(), |v| v.clip.center());
        self.look.update(|look| *look = look.nearer(&whole, at.unwrap_or(middle), factor));
    }

    fn pulled(self, by: Vec2) {
        if let Some(whole) = self.whole() {
            self.look.update(|look| *look = look.pulled(&whole, by));
        }
    }

    fn pressed(self, event: &PointerEvent) {
        // The middle button, or any with the shift key, pulls the sheet itself.
        let drags = event.button() == 1 || event.shift_key();
        if event.button() > 1 || (event.button() == 1 && !matches!(self.look.get_untracked(), Look::Part(_))) {
            return;
        }
        let at = [f64::from(event.client_x()), f64::from(event.client_y())];
        if let Some(node) = self.node.get_untracked() {
            // Refused (the finger is gone already) the pull ends when it leaves the drawing.
            let _ = node.set_pointer_capture(event.pointer_id());
        }
        let reach = if event.pointer_type() == "mouse" { MOUSE } else { FINGER };
        let found = self.on_top(at);
        self.fingers.update_value(|fingers| {
            fingers.down.retain(|(id, _)| *id != event.pointer_id());
            fingers.down.push((event.pointer_id(), at));
            fingers.drags = drags;
            fingers.pull = None;
            if let ([_], false, Some((point, mm))) = (fingers.down.as_slice(), drags, found) {
                let touch = self.touch.get_untracked();
                fingers.pull = self.hands.bench.with_untracked(|b| Pull::new(b, touch, point, reach * mm));
                fingers.drags = fingers.pull.is_none();
            }
        });
        if self.fingers.with_value(|f| f.down.len() > 1) {
            // Two fingers look nearer; what one of them had begun is given up.
            self.hands.drop_tried();
        }
    }

    fn moved(self, event: &PointerEvent) {
        let id = event.pointer_id();
        let now = [f64::from(event.client_x()), f64::from(event.client_y())];
        let Some(was) = self.fingers.with_value(|f| f.down.iter().find(|(i, _)| *i == id).map(|(_, at)| *at)) else {
            return;
        };
        let other = self.fingers.with_value(|f| f.down.iter().find(|(i, _)| *i != id).map(|(_, at)| *at));
        let (Some((point, mm)), Some((before, _))) = (self.on_top(now), self.on_top(was)) else { return };
        match other {
            Some(other) => {
                let apart = |a: [f64; 2]| holefast::math::hypot(a[0] - other[0], a[1] - other[1]);
                if let Some((still, _)) = self.on_top(other)
                    && apart(was) > 1.0
                {
                    self.nearer(Some(still), apart(now) / apart(was));
                }
            }
            None if self.fingers.with_value(|f| f.drags) => self.pulled(point - before),
            None => {
                // A finger is never quite still: less than this is a tap.
                const STILL: f64 = 4.0;
                let tried = self.fingers.try_update_value(|f| {
                    let pull = f.pull.as_mut()?;
                    (pull.has_moved() || pull.is_away(point, STILL * mm)).then(|| pull.to(point))
                });
                if let Some(Some(text)) = tried {
                    if let (Some(whole), Touch::Sheet) = (self.whole(), self.touch.get_untracked()) {
                        self.look.update(|look| *look = look.held(&whole));
                    }
                    self.hands.try_on(text);
                }
            }
        }
        self.fingers.update_value(|f| {
            if let Some(entry) = f.down.iter_mut().find(|(i, _)| *i == id) {
                entry.1 = now;
            }
        });
    }

    fn lifted(self, event: &PointerEvent) {
        let id = event.pointer_id();
        let pull = self.fingers.try_update_value(|f| {
            let was_down = f.down.iter().any(|(i, _)| *i == id);
            f.down.retain(|(i, _)| *i != id);
            if was_down { f.pull.take() } else { None }
        });
        self.look.update(|look| *look = look.let_go());
        let Some(Some(pull)) = pull else { return };
        if pull.has_moved() {
            self.hands.chosen.set(None);
            self.hands.keep_tried();
        } else if let Some(&cell) = pull.passed().first() {
            self.hands.toggle(cell);
        }
    }

    fn given_up(self) {
        self.fingers.set_value(Fingers::default());
        self.look.update(|look| *look = look.let_go());
        self.hands.drop_tried();
    }

    fn turned(self, event: &web_sys::WheelEvent) {
        let near = matches!(self.look.get_untracked(), Look::Part(_));
        let at = self.on_top([f64::from(event.client_x()), f64::from(event.client_y())]);
        if event.ctrl_key() || event.meta_key() {
            event.prevent_default();
            self.nearer(at.map(|(point, _)| point), if event.delta_y() < 0.0 { NEARER } else { 1.0 / NEARER });
        } else if let (true, Some((_, mm))) = (near, at) {
            event.prevent_default();
            self.pulled(Vec2::new(-event.delta_x() * mm, event.delta_y() * mm));
        }
    }

    fn keyed(self, event: &web_sys::KeyboardEvent) {
        let hands = self.hands;
        let size = hands.bench.with_untracked(|b| b.laid().map(|l| (l.layout.rows, l.layout.columns)));
        let Some((rows, columns)) = size.filter(|&(r, c)| r > 0 && c > 0) else { return };
        let first = hands.chosen.get_untracked().is_none();
        let at = hands.chosen.get_untracked().unwrap_or(Cell::new(0, 0));
        // A chosen place may have gone with a shorter sheet.
        let at = Cell::new(at.row.min(rows - 1), at.column.min(columns - 1));
        let next = match event.key().as_str() {
            "Escape" => return self.given_up(),
            "+" => return self.nearer(self.middle_of(at), NEARER),
            "-" => return self.nearer(self.middle_of(at), 1.0 / NEARER),
            "0" => return self.look.set(Look::Whole),
            // The reference edge is at the bottom: up is a row further.
            "ArrowUp" => Cell::new((at.row + 1).min(rows - 1), at.column),
            "ArrowDown" => Cell::new(at.row.saturating_sub(1), at.column),
            "ArrowRight" => Cell::new(at.row, (at.column + 1).min(columns - 1)),
            "ArrowLeft" => Cell::new(at.row, at.column.saturating_sub(1)),
            "Enter" | " " => {
                event.prevent_default();
                return hands.toggle(at);
            }
            _ => return,
        };
        event.prevent_default();
        hands.chosen.set(Some(if first && next == at { at } else { next }));
        if let (Some(whole), Some(point)) = (self.whole(), self.middle_of(next)) {
            self.look.update(|look| *look = look.showing(&whole, point));
        }
    }

    fn middle_of(self, cell: Cell) -> Option<Point> {
        self.hands.bench.with_untracked(|b| b.laid().map(|l| l.layout.place(cell.row as i32, cell.column as i32)))
    }
}

/// The drawing with what belongs to it.
#[component]
pub fn Board(hands: Hands) -> impl IntoView {
    let board = Board {
        hands,
        look: RwSignal::new(Look::Whole),
        touch: RwSignal::new(Touch::Holes),
        fingers: StoredValue::new(Fingers::default()),
        node: NodeRef::new(),
        width: device::drawing_width(),
    };
    let Board { look, touch, .. } = board;
    let svg = move || hands.bench.with(|b| drawing::svg(b, look.get(), touch.get(), hands.chosen.get(), board.width));
    let near = move || matches!(look.get(), Look::Part(_));
    view! {
        <div id="drawing" class="drawing" class:near=near tabindex="0" role="group" aria-label=words::SEEN_FROM_ABOVE
            aria-describedby="how" inner_html=svg node_ref=board.node
            on:pointerdown=move |event| board.pressed(&event) on:pointermove=move |event| board.moved(&event)
            on:pointerup=move |event| board.lifted(&event) on:pointercancel=move |_| board.given_up()
            on:wheel=move |event| board.turned(&event) on:keydown=move |event| board.keyed(&event)></div>
        <div class="tools">
            <div class="choice" role="group" aria-label=words::TOUCHING_CHANGES>
                {[(Touch::Holes, "touch-holes"), (Touch::KeepOuts, "touch-keep-outs"), (Touch::Sheet, "touch-sheet")]
                    .into_iter().map(|(which, id)| view! {
                        <button id=id aria-pressed=move || (touch.get() == which).to_string()
                            on:click=move |_| touch.set(which)>{words::touching(which)}</button>
                    }).collect_view()}
            </div>
            <div class="choice" role="group" aria-label=words::LOOK>
                <button id="further" aria-label=words::FURTHER disabled=move || !near()
                    on:click=move |_| board.nearer(None, 1.0 / NEARER)>"\u{2212}"</button>
                <button id="nearer" aria-label=words::NEARER on:click=move |_| board.nearer(None, NEARER)>"+"</button>
                <button id="whole" disabled=move || !near() on:click=move |_| look.set(Look::Whole)>{words::WHOLE}</button>
            </div>
        </div>
        <p class="line" id="how">{move || words::how(touch.get())}</p>
    }
}
