//! The page's logic in an engine of its own, without a browser.

use rquickjs::{Context, Function, Runtime};
use secondball::page::phone::LOGIC;
use serde_json::Value;

/// What the tests call in the page's logic; everything goes in and out as JSON.
const DOOR: &str = r"
let machine = null, caller = null;
const L = SecondballLogic;
const door = {
  start: ([script, input]) => { machine = new L.Machine(script, input); return null; },
  act: ([at, what, key]) => machine.act(at, what, key === null ? undefined : key),
  picture: ([at]) => machine.picture(at),
  next: () => machine.nextMs(),
  summary: () => machine.summary(),
  unpack: ([page, place]) => L.unpack(page, place),
  faded: ([script, answers, today]) => L.faded(script, answers, today),
  outcome: ([behaviour, behind]) => L.outcome(behaviour, behind),
  resumed: ([rules, permille, isNewDay]) => L.resumed(rules, permille, isNewDay),
  keyTime: ([two, six]) => L.keyTime(two, six),
  keyMs: ([time, keys]) => L.keyMs(time, keys),
  windowMs: ([decision, permille, key]) => L.windowMs(decision, permille, key),
  cellOfKey: ([key]) => L.cellOfKey(key),
  listsOf: ([page, day, answers]) => L.listsOf(page, day, answers),
  notAtHome: ([events, receipts]) => L.notAtHome(events, receipts),
  exported: ([page, events, made]) => L.exported(page, events, made),
  caller: ([session, delay]) => { caller = new L.Caller(session, delay); return null; },
  call: ([at, what]) => caller.act(at, what),
  called: ([at]) => caller.picture(at),
  place: () => caller.place(),
  from: ([session, delay, place]) => { caller = L.Caller.from(session, delay, place); return null; },
};
globalThis.call = (name, given) => {
  const answer = door[name](JSON.parse(given));
  return JSON.stringify(answer === undefined ? null : answer);
};
";

/// The page's logic, ready to be called.
pub struct Engine {
    context: Context,
    _runtime: Runtime,
}

impl Engine {
    pub fn new() -> Self {
        let runtime = Runtime::new().unwrap();
        let context = Context::full(&runtime).unwrap();
        context.with(|ctx| {
            ctx.eval::<(), _>(LOGIC).unwrap();
            ctx.eval::<(), _>(DOOR).unwrap();
        });
        Self { context, _runtime: runtime }
    }

    /// Calls a function of the logic.
    #[track_caller]
    pub fn call(&self, name: &str, given: &Value) -> Value {
        let text = self.context.with(|ctx| {
            let call: Function<'_> = ctx.globals().get("call").unwrap();
            let answer: Result<String, _> = call.call((name, given.to_string()));
            answer.unwrap_or_else(|_| {
                let thrown = ctx.catch();
                panic!("{name}: {:?}", thrown.as_exception().map(ToString::to_string))
            })
        });
        serde_json::from_str(&text).unwrap()
    }
}
