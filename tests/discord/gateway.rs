//! The event side of the server: hello, identify, resume with replay, heartbeats, and the ways to hang up.

use std::borrow::Cow;
use std::sync::Arc;
use std::time::Duration;

use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::protocol::CloseFrame;
use tokio_tungstenite::tungstenite::protocol::frame::coding::CloseCode;
use tokio_tungstenite::{WebSocketStream, accept_async};

use super::events;
use super::server::Shared;

/// Between heartbeats; the platform's own is about 41 s.
const HEARTBEAT: Duration = Duration::from_secs(1);

/// One session as the platform keeps it: what was sent is kept, so that a client that comes back misses nothing.
pub struct Session {
    sent: Vec<Value>,
    live: Option<UnboundedSender<Order>>,
    pub identified: usize,
    pub resumed: usize,
    pub heartbeats: usize,
    pub heartbeat: Duration,
    /// Hears heartbeats and says nothing.
    pub deaf: bool,
    /// Takes nobody back into an old session.
    pub forgets: bool,
    /// Takes nobody in.
    pub shut: bool,
    /// Hangs up with this code on everyone who identifies.
    pub refuse_with: Option<u16>,
}

impl Default for Session {
    fn default() -> Self {
        Self {
            sent: Vec::new(),
            live: None,
            identified: 0,
            resumed: 0,
            heartbeats: 0,
            heartbeat: HEARTBEAT,
            deaf: false,
            forgets: false,
            shut: false,
            refuse_with: None,
        }
    }
}

/// What the server does to a connection.
pub enum Order {
    Send(Value),
    /// The socket is closed without a word.
    Fin,
    /// The socket is torn down, as by a router that forgot it.
    Rst,
    Close(u16),
}

impl Session {
    /// Sends an event, or keeps it for a client that is away.
    pub fn event(&mut self, name: &str, data: Value) {
        let event = json!({"op": 0, "s": self.sent.len() + 1, "t": name, "d": data});
        self.sent.push(event.clone());
        self.order(Order::Send(event));
    }

    pub fn order(&mut self, order: Order) {
        let hangs_up = matches!(order, Order::Fin | Order::Rst | Order::Close(_));
        if let Some(live) = &self.live {
            let _ = live.send(order);
        }
        // What comes after is for the connection that follows.
        if hangs_up {
            self.live = None;
        }
    }

    /// Sends the client away: 7, come again; 9, this session is no more (`true`: or may be resumed).
    pub fn opcode(&mut self, op: u8, data: Value) {
        self.order(Order::Send(json!({"op": op, "d": data})));
        self.live = None;
    }
}

/// Takes connections for ever.
pub async fn serve(listener: TcpListener, shared: Arc<Shared>) {
    while let Ok((stream, _)) = listener.accept().await {
        if shared.session().shut {
            continue;
        }
        let shared = Arc::clone(&shared);
        tokio::spawn(async move {
            if let Ok(socket) = accept_async(stream).await {
                talk(socket, &shared).await;
            }
        });
    }
}

async fn talk(mut socket: WebSocketStream<TcpStream>, shared: &Shared) {
    let (orders, mut inbox) = unbounded_channel();
    let interval = shared.session().heartbeat.as_millis();
    let hello = json!({"op": 10, "d": {"heartbeat_interval": interval}});
    if socket.send(Message::Text(hello.to_string())).await.is_err() {
        return;
    }
    loop {
        tokio::select! {
            heard = socket.next() => {
                let Some(Ok(message)) = heard else { return };
                let Ok(text) = message.into_text() else { return };
                if let Ok(said) = serde_json::from_str::<Value>(&text) {
                    hear(&said, &orders, shared);
                }
            }
            order = next(&mut inbox) => match order {
                Order::Send(event) => {
                    if socket.send(Message::Text(event.to_string())).await.is_err() {
                        return;
                    }
                }
                Order::Fin => return,
                Order::Rst => {
                    let _ = socket.get_ref().set_zero_linger();
                    return;
                }
                Order::Close(code) => {
                    let frame = CloseFrame { code: CloseCode::from(code), reason: Cow::Borrowed("") };
                    let _ = socket.close(Some(frame)).await;
                }
            },
        }
    }
}

async fn next(inbox: &mut UnboundedReceiver<Order>) -> Order {
    match inbox.recv().await {
        Some(order) => order,
        None => std::future::pending().await,
    }
}

fn hear(said: &Value, orders: &UnboundedSender<Order>, shared: &Shared) {
    let mut session = shared.session();
    match said["op"].as_u64() {
        Some(1) => {
            session.heartbeats += 1;
            if session.deaf {
                return;
            }
            let _ = orders.send(Order::Send(json!({"op": 11, "d": null})));
        }
        Some(2) => {
            session.identified += 1;
            session.live = Some(orders.clone());
            if let Some(code) = session.refuse_with {
                session.order(Order::Close(code));
            } else {
                // A new session: what came before it is gone.
                session.sent.clear();
                let world = shared.world();
                session.event("READY", events::ready(&world));
                for server in world.servers() {
                    session.event("GUILD_CREATE", events::guild(&world, server));
                }
            }
        }
        Some(6) if session.forgets => {
            let _ = orders.send(Order::Send(json!({"op": 9, "d": false})));
        }
        Some(6) => {
            session.resumed += 1;
            session.live = Some(orders.clone());
            let from = usize::try_from(said["d"]["seq"].as_u64().unwrap_or(0)).unwrap_or(0);
            for event in session.sent.iter().skip(from) {
                let _ = orders.send(Order::Send(event.clone()));
            }
            session.event("RESUMED", json!({"_trace": []}));
        }
        _ => {}
    }
    drop(session);
    shared.changed();
}
