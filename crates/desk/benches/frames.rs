//! Frames a second of the real window while the tool runs and while the block is turned, on the demo job.
//!
//!     LIBGL_ALWAYS_SOFTWARE=1 cargo bench --workspace --locked --bench frames       # needs a display
//!
//! It opens a window, lets plan and block be worked for a few seconds each as fast as they come, and prints how many
//! frames were drawn, with the longest. Nothing waits for the screen.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "a measurement prints"
)]

use std::time::{Duration, Instant};

use blockwright::app::{Action, App, Command};
use blockwright::{open, theme};
use blockwright_core::view::Camera;
use eframe::egui::{Context, Ui, ViewportBuilder, ViewportCommand};

/// How long each is worked.
const LONG: Duration = Duration::from_secs(6);

/// What is measured, in turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    PlanPlaying,
    BlockPlaying,
    BlockTurning,
}

const PARTS: [(Part, &str); 3] = [
    (Part::PlanPlaying, "plan, graphs and line while the tool runs"),
    (Part::BlockPlaying, "block in 3D while the tool runs"),
    (Part::BlockTurning, "block in 3D while it is turned"),
];

struct Measured {
    app: App,
    part: usize,
    since: Option<Instant>,
    last: Instant,
    frames: u32,
    longest: Duration,
    turn: f64,
}

impl Measured {
    fn begin(&mut self, ctx: &Context, part: Part) {
        let commands: &[Command] = match part {
            Part::PlanPlaying => &[Command::ShowPlan, Command::Start],
            Part::BlockPlaying => &[Command::ShowBlock, Command::Start],
            Part::BlockTurning => &[Command::ShowBlock, Command::End],
        };
        for command in commands {
            self.app.apply(ctx, Action::Do(*command));
        }
        if part != Part::BlockTurning {
            self.app.apply(ctx, Action::Speed(1.0));
            self.app.apply(ctx, Action::Do(Command::Play));
        }
        (self.since, self.last) = (Some(Instant::now()), Instant::now());
        (self.frames, self.longest) = (0, Duration::ZERO);
    }

    fn work(&mut self, ctx: &Context) {
        let Some((part, words)) = PARTS.get(self.part).copied() else {
            return ctx.send_viewport_cmd(ViewportCommand::Close);
        };
        let Some(since) = self.since else { return self.begin(ctx, part) };
        self.longest = self.longest.max(self.last.elapsed());
        self.last = Instant::now();
        self.frames += 1;
        if part == Part::BlockTurning {
            self.turn += 1.5;
            let camera = Camera { turn: self.turn, ..Camera::default() };
            self.app.apply(ctx, Action::Centre(blockwright::app::CentreAsk::Turn(camera)));
        }
        if since.elapsed() >= LONG {
            let rate = f64::from(self.frames) / since.elapsed().as_secs_f64();
            println!("{words}: {rate:.0} frames a second, the longest {} ms", self.longest.as_millis());
            if part != Part::BlockTurning {
                self.app.apply(ctx, Action::Do(Command::Play));
            }
            self.part += 1;
            self.since = None;
        }
    }
}

impl eframe::App for Measured {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        self.app.tick(ctx);
        if self.app.proof().is_some() {
            self.work(ctx);
        }
        ctx.request_repaint();
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.app.show(ui);
    }
}

fn main() {
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default().with_inner_size([1280.0, 800.0]),
        glow_options: eframe::egui_glow::GlowConfiguration { vsync: false, ..Default::default() },
        ..Default::default()
    };
    let opened = open::demo_job().expect("the demo holds together");
    let made = move |creation: &eframe::CreationContext<'_>| {
        theme::install(&creation.egui_ctx);
        let measured = Measured {
            app: App::new(opened),
            part: 0,
            since: None,
            last: Instant::now(),
            frames: 0,
            longest: Duration::ZERO,
            turn: 0.0,
        };
        let boxed: Box<dyn eframe::App> = Box::new(measured);
        Ok(boxed)
    };
    eframe::run_native("Blockwright, measured", options, Box::new(made)).expect("a display");
}
