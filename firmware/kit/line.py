"""The connection to the broker: MQTT 5.0 by paho, driven turn by turn by the thread it belongs to.

Each connection has a client of its own, so that nothing waits in a library: what was not
acknowledged when one broke is handed out again by whoever keeps it. Readings are not sent while
bytes still wait to go out, so a slow network gets fewer of them, each as new as any.
"""

import errno
import ssl
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from paho.mqtt.client import Client, ConnectFlags, DisconnectFlags, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode, MQTTProtocolVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

from firmware.clock import Clock
from firmware.errors import KitError
from firmware.kit.settings import KitSettings, Wire
from firmware.system.files import reason_of

KEEPALIVE_S = 5
"""A broker tells of a unit that is gone after one and a half of these (MQTT 5.0, 3.1.2.10)."""
CONNECT_S = 1.5
"""How long one try may take: less than a thread has to stop."""
SESSION_S = 24 * 3600
"""How long a broker keeps what a reader has missed: a day out of reach."""
FIRST_AGAIN_NS, MOST_AGAIN_NS = 250_000_000, 8_000_000_000
"""From one try to the next: doubled from try to try."""
REFUSED_AGAIN_NS = 8_000_000_000
SETTLES_NS = 5_000_000_000
"""Until a connection is answered; then it is given up."""
NOT_AUTHORISED, WRONG_PASSWORD, TAKEN_OVER = 0x87, 0x86, 0x8E
"""Reason codes (MQTT 5.0, 2.4)."""
FORBIDDEN = frozenset({errno.EAFNOSUPPORT, errno.EPERM, errno.EACCES})
"""What a system says to whom it allows no network (systemd.exec(5), RestrictAddressFamilies;
systemd.resource-control(5), IPAddressDeny)."""

Heard = Callable[[str, bytes, bool], None]


@dataclass(frozen=True, slots=True)
class Role:
    """Who connects.

    Attributes
    ----------
    client_id:
        What the broker knows the session by.
    topics:
        What is to be heard: filters, each with the quality of service.
    will:
        What the broker says on a topic, retained, once the connection broke; None for nothing.
    session_s:
        How long what was missed is kept; 0 for not at all.
    """

    client_id: str
    topics: Sequence[tuple[str, int]]
    will: tuple[str, bytes] | None = None
    session_s: int = 0


@dataclass(slots=True)
class Hears:
    """What is told of a connection, in the thread that turns it."""

    message: Heard
    up: Callable[[bool], None] = lambda _knew: None
    """A connection began; whether the broker still knew the session."""
    down: Callable[[], None] = lambda: None
    sent: Callable[[int, bool], None] = lambda _number, _taken: None
    """The broker's answer to what was published: whether it took it."""


@dataclass(slots=True)
class _Try:
    """When to try again."""

    pause_ns: int = FIRST_AGAIN_NS
    again_ns: int = 0
    began_ns: int = 0
    refused: bool = False


class BrokerLine:
    """One connection after another.

    Attributes
    ----------
    is_up:
        Whether the broker has taken this client in.
    trouble:
        Why not, as one sentence; empty while it is or before the first try.
    """

    def __init__(self, settings: KitSettings, role: Role, hears: Hears, clock: Clock) -> None:
        self._settings, self._role, self._hears, self._clock = settings, role, hears, clock
        self._client: Client | None = None
        self._try = _Try()
        self._sealed: ssl.SSLContext | None = None
        self.is_up = False
        self.trouble = ""

    def turn(self, seconds: float) -> float:
        """Go on for so long at the most; how long of it the caller is to wait by itself."""
        now_ns = self._clock.now_ns()
        if self._client is None:
            if now_ns < self._try.again_ns:
                return min(seconds, (self._try.again_ns - now_ns) / 1e9)
            self._open()
            return 0.0
        code = self._client.loop(seconds)
        if self._client is not None and code is not MQTTErrorCode.MQTT_ERR_SUCCESS:
            self._over(f"the connection to the broker {self._settings.broker} broke")
        elif not self.is_up and now_ns - self._try.began_ns > SETTLES_NS:
            self._over(f"the broker {self._settings.broker} takes connections and does not answer")
        return 0.0

    @property
    def is_clear(self) -> bool:
        """Whether all that was published has gone out."""
        return self.is_up and self._client is not None and not self._client.want_write()

    def publish(
        self, topic: str, payload: bytes, *, qos: int, retain: bool, expires_s: int = 0
    ) -> int | None:
        """Send; the number by which it is acknowledged, None where there is no connection."""
        if self._client is None or not self.is_up:
            return None
        about = _properties(PacketTypes.PUBLISH)
        if expires_s:
            about.MessageExpiryInterval = expires_s
        sent = self._client.publish(topic, payload, qos, retain, about)
        return sent.mid if sent.rc is MQTTErrorCode.MQTT_ERR_SUCCESS else None

    def leave(self) -> None:
        """End without a will: whoever leaves by itself has said so."""
        client, self._client, self.is_up = self._client, None, False
        if client is not None:
            client.disconnect()

    def _open(self) -> None:
        self._try.began_ns, self._try.refused = self._clock.now_ns(), False
        try:
            client = self._made()
            self._client = client
            about = _properties(PacketTypes.CONNECT)
            about.SessionExpiryInterval = self._role.session_s
            client.connect(
                self._settings.host,
                self._settings.port,
                KEEPALIVE_S,
                clean_start=self._role.session_s == 0,
                properties=about,
            )
        except (OSError, ValueError, KitError) as fault:
            self._over(_words(fault, self._settings))

    def _made(self) -> Client:
        client = Client(
            CallbackAPIVersion.VERSION2,
            self._role.client_id,
            protocol=MQTTProtocolVersion.MQTTv5,
            reconnect_on_failure=False,
        )
        client.connect_timeout = CONNECT_S
        client.username_pw_set(self._settings.unit, self._settings.password)
        if self._settings.wire is Wire.TLS:
            if self._sealed is None:
                self._sealed = sealed_by(self._settings.authority)
            client.tls_set_context(self._sealed)
        if self._role.will is not None:
            topic, payload = self._role.will
            client.will_set(topic, payload, qos=1, retain=True)
        client.on_connect = self._connected
        client.on_disconnect = self._disconnected
        client.on_message = self._message
        client.on_publish = self._published
        return client

    def _connected(
        self, client: Client, _data: object, flags: ConnectFlags, code: ReasonCode, _about: object
    ) -> None:
        if client is not self._client:
            return
        if code.is_failure:
            self._try.refused = True
            self.trouble = refusal(code.value, str(code), self._settings)
            return
        wanted = [(each, SubscribeOptions(qos=qos)) for each, qos in self._role.topics]
        if wanted:
            client.subscribe(wanted)
        self._try.pause_ns = FIRST_AGAIN_NS
        self.is_up, self.trouble = True, ""
        self._hears.up(flags.session_present)

    def _disconnected(
        self,
        client: Client,
        _data: object,
        _flags: DisconnectFlags,
        code: ReasonCode,
        _about: object,
    ) -> None:
        if client is self._client and code.value == TAKEN_OVER:
            self._try.refused = True
            self.trouble = refusal(code.value, str(code), self._settings)

    def _message(self, client: Client, _data: object, message: MQTTMessage) -> None:
        if client is self._client:
            self._hears.message(message.topic, bytes(message.payload), bool(message.retain))

    def _published(
        self, client: Client, _data: object, number: int, code: ReasonCode, _about: object
    ) -> None:
        if client is not self._client:
            return
        if code.is_failure:
            self.trouble = (
                f"the broker {self._settings.broker} lets {self._settings.unit} say nothing under "
                "its own name: look at the broker's list of who may"
            )
        self._hears.sent(number, not code.is_failure)

    def _over(self, words: str) -> None:
        """The connection is no more, or never was."""
        was_up, self._client, self.is_up = self.is_up, None, False
        now_ns, again = self._clock.now_ns(), self._try
        if again.refused:
            again.again_ns = now_ns + REFUSED_AGAIN_NS
        else:
            self.trouble = words
            again.again_ns = now_ns + again.pause_ns
            again.pause_ns = min(2 * again.pause_ns, MOST_AGAIN_NS)
        if was_up:
            self._hears.down()


def _properties(kind: int) -> Properties:
    return Properties(kind)  # type: ignore[no-untyped-call]  # paho leaves this one without


def sealed_by(authority: Path | None) -> ssl.SSLContext:
    """What a broker's certificate is judged by.

    Raises
    ------
    KitError
        The authority's certificate cannot be read.
    """
    try:
        made = ssl.create_default_context(cafile=authority)
    except (OSError, ValueError) as fault:
        why = reason_of(fault) if isinstance(fault, OSError) else str(fault)
        raise KitError(
            f"{authority}: is no certificate that can be read ({why}); put the "
            "authority's certificate there, in PEM"
        ) from fault
    # As Python 3.13 judges by itself, on every Python: a certificate is good everywhere or nowhere.
    made.verify_flags |= ssl.VERIFY_X509_STRICT
    made.minimum_version = ssl.TLSVersion.TLSv1_2
    return made


def refusal(code: int, words: str, settings: KitSettings) -> str:
    """Why a broker takes somebody in no more, and what to do."""
    if code in {NOT_AUTHORISED, WRONG_PASSWORD}:
        return (
            f"the broker {settings.broker} does not know {settings.unit} by this password: compare "
            "unit and password with those the broker was told"
        )
    if code == TAKEN_OVER:
        return f"another unit calls itself {settings.unit} too: give each a name of its own"
    return f"the broker {settings.broker} refuses {settings.unit} ({words.lower()})"


def _words(fault: Exception, settings: KitSettings) -> str:
    """Why no connection came about, and what to do."""
    if isinstance(fault, KitError):
        return str(fault)
    broker = settings.broker
    if isinstance(fault, ssl.SSLCertVerificationError):
        signed = settings.authority or "any authority that this system knows"
        return (
            f"the certificate of the broker {broker} is not believed ({fault.verify_message}): it "
            f"must be signed by {signed} and name {settings.host}"
        )
    if isinstance(fault, ssl.SSLError):
        return f"the broker {broker} does not speak TLS there: look at its port"
    if isinstance(fault, OSError) and fault.errno in FORBIDDEN:
        return f"this unit may not ask the broker {broker}: run systemd/install.sh --kit once"
    why = reason_of(fault) if isinstance(fault, OSError) else str(fault)
    return f"the broker {broker} cannot be reached ({why})"
