"""Works the viewer's real window under Xvfb with xdotool. Waits for what the program announces, never for a time.

usage: window_test.py PHASEWRIGHT
"""

import os
import queue
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time

PATIENCE_S = 60  # far more than anything here takes; a busy machine must not fail the test


class Failure(Exception):
    pass


class Announcements:
    """The program's lines as they come; what they said last is kept."""

    def __init__(self, stream):
        self.lines = queue.Queue()
        self.items = {}
        self.frame = {}
        self.frames = 0
        threading.Thread(target=self._read, args=(stream,), daemon=True).start()

    def _read(self, stream):
        for line in stream:
            self.lines.put(line.rstrip("\n"))
        self.lines.put(None)

    def take(self):
        try:
            line = self.lines.get(timeout=PATIENCE_S)
        except queue.Empty:
            raise Failure("the viewer said nothing more") from None
        if line is None:
            return None
        words = line.split(" ")
        if words[0] == "item":
            self.items[" ".join(words[1:-4])] = [float(word) for word in words[-4:]]
        elif words[0] == "frame":
            self.frames = int(words[1])
            self.frame = dict(word.split("=") for word in words[2:])
        return line

    def wait_for(self, what, condition):
        while True:
            line = self.take()
            if line is None:
                raise Failure(f"the viewer ended while waiting for {what}")
            if condition(line):
                return line

    def figure(self, name):
        return float(self.frame[name])


def wait_until(what, condition):
    """For what stands on the disk, of which the viewer says nothing."""
    end = time.monotonic() + PATIENCE_S
    while not condition():
        if time.monotonic() > end:
            raise Failure(f"waited in vain for {what}")
        time.sleep(0.05)


class Window:
    def __init__(self, program, own):
        self.own = own  # where the viewer keeps what is the user's
        self.errors = open(os.path.join(own, "stderr"), "w+")
        self.server = None
        self.viewer = None
        self.program = program

    def start(self):
        read_end, write_end = os.pipe()
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write_end), "-noreset", "-nolisten", "tcp", "-screen", "0", "1400x900x24"],
            pass_fds=[write_end], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        os.close(write_end)
        with os.fdopen(read_end) as display:
            number = display.readline().strip()
        if not number:
            raise Failure("Xvfb does not start")
        self.environment = dict(os.environ, DISPLAY=f":{number}", LIBGL_ALWAYS_SOFTWARE="1",
                                XDG_STATE_HOME=self.own, XDG_CONFIG_HOME=self.own)
        self.environment.pop("WAYLAND_DISPLAY", None)
        self.open()

    def open(self, *words):
        self.viewer = subprocess.Popen([self.program, "view", "--announce", *map(str, words)], env=self.environment,
                                       text=True, stdout=subprocess.PIPE, stderr=self.errors)
        self.said = Announcements(self.viewer.stdout)
        self.said.wait_for("the first frame", lambda line: line.startswith("frame "))
        self.window = self.xdotool("search", "--sync", "--onlyvisible", "--class", "phasewright").split()[0]
        self.xdotool("windowfocus", "--sync", self.window)

    def xdotool(self, *words):
        done = subprocess.run(["xdotool", *map(str, words)], env=self.environment, text=True, capture_output=True,
                              timeout=PATIENCE_S, check=False)
        if done.returncode != 0:
            raise Failure(f"xdotool {' '.join(map(str, words))}: {done.stderr.strip()}")
        return done.stdout

    def point(self, item, share=0.5):
        left, top, right, bottom = self.said.items[item]
        self.xdotool("mousemove", "--window", self.window, round(left + (right - left) * share), round((top + bottom) / 2))

    def stop(self):
        for process in (self.viewer, self.server):
            if process is not None and process.poll() is None:
                process.terminate()
                process.wait(timeout=PATIENCE_S)


def check(condition, words):
    if not condition:
        raise Failure(words)
    print("ok:", words)


def drag_the_strip(window):
    said = window.said
    picture = said.frame["picture"]
    window.point("strip", 0.1)
    window.xdotool("mousedown", 1)
    said.wait_for("the press to turn the engine", lambda line: line.startswith("frame ") and abs(said.figure("crank") - 72) < 2)
    window.point("strip", 0.25)
    said.wait_for("the drag to turn the engine", lambda line: line.startswith("frame ") and abs(said.figure("crank") - 180) < 2)
    window.xdotool("mouseup", 1)
    check(said.frame["picture"] != picture, f"dragging the strip turned the engine to {said.figure('crank')} degrees and changed the picture")


def change_a_key(window):
    said = window.said
    phase, inlet, picture = said.figure("phase"), said.figure("inlet"), said.frame["picture"]
    window.point("plan.cam_key.plus")
    window.xdotool("click", 1)
    said.wait_for("the key to change the phase", lambda line: line.startswith("frame ") and abs(said.figure("phase") - phase - 2) < 1e-3)
    said.wait_for("a picture of it", lambda line: line.startswith("idle ") or said.frame["picture"] != picture)
    check(said.figure("inlet") < inlet, "a degree of cam key advanced the cam 2 crank degrees and brought the inlet valve nearer")
    check(said.frame["picture"] != picture, "and changed the picture")
    window.xdotool("key", "ctrl+z")
    said.wait_for("undo", lambda line: line.startswith("frame ") and abs(said.figure("phase") - phase) < 1e-3)
    check(True, "Ctrl+Z took it back")


def rest(window):
    said = window.said
    first = said.wait_for("idling", lambda line: line.startswith("idle 1 "))
    last = said.wait_for("five seconds of it", lambda line: line.startswith("idle 5 ") or line.startswith("frame "))
    check(last.startswith("idle 5 "), "nothing changed by itself")
    drawn = int(re.search(r"frames=(\d+)", last)[1]) - int(re.search(r"frames=(\d+)", first)[1])
    check(drawn < 10, f"{drawn} frames drawn in four idle seconds")


def close(window):
    window.xdotool("key", "ctrl+q")
    window.said.wait_for("the end", lambda line: line == "closed")
    check(window.viewer.wait(timeout=PATIENCE_S) == 0, "Ctrl+Q closed it")


def kept_work(window):
    return sorted(pathlib.Path(window.own, "phasewright").glob("unsaved-*.toml"))


def killed(window):
    """Typed work outlives SIGKILL: it is asked about, taken up and saved."""
    models = pathlib.Path(__file__).resolve().parents[2] / "models"
    build = pathlib.Path(window.own, "sandling-14.build.toml")
    for name in models.glob("marram*"):
        shutil.copy(name, window.own)
    shutil.copy(models / build.name, build)
    before = build.read_text()

    window.open(build)
    said = window.said
    window.point("step.base_timing")
    window.xdotool("click", 1)
    said.wait_for("the step's panel", lambda line: line.startswith("item fitted.cam_key "))
    window.point("fitted.cam_key")
    window.xdotool("click", 1)
    window.xdotool("type", "3")
    fitted = said.figure("fitted")
    window.xdotool("key", "Return")
    said.wait_for("the typed key", lambda line: line.startswith("frame ") and abs(said.figure("fitted") - fitted - 6) < 1e-3)
    wait_until("the work to be kept", lambda: len(kept_work(window)) == 1)
    window.viewer.kill()
    window.viewer.wait(timeout=PATIENCE_S)
    check(len(kept_work(window)) == 1 and build.read_text() == before, "killed with work unsaved, it left that in a file of its own")

    window.open(build)
    said = window.said
    if "left.take_up" not in said.items:
        said.wait_for("the question", lambda line: line.startswith("item left.take_up "))
    window.xdotool("key", "Return")
    said.wait_for("the work to be taken up", lambda line: line.startswith("frame ") and abs(said.figure("fitted") - fitted - 6) < 1e-3)
    check(build.read_text() == before, "started again, it asked, and Return took the work up")
    window.xdotool("key", "ctrl+s")
    wait_until("the file to be saved", lambda: "cam_key_deg = 3" in build.read_text() and not kept_work(window))
    check("cam_key_deg = 3" in build.read_text() and not kept_work(window), "Ctrl+S saved it, and nothing is kept beside it")


def films(window):
    """A film is drawn beside the window's own picture, says how far it is, and is stopped; a card is made whole."""
    said = window.said
    window.xdotool("key", "ctrl+p")
    said.wait_for("the sheet", lambda line: line.startswith("item output.leaf "))
    window.xdotool("key", "p", "p", "p", "p")
    said.wait_for("the film's panel", lambda line: line.startswith("item output.frames "))
    window.xdotool("key", "x", "ctrl+p")
    said.wait_for("frames to be drawn", lambda line: line.startswith("item output.progress "))
    window.xdotool("key", "ctrl+p")
    said.wait_for("it to stop", lambda line: line.startswith("item output.make "))
    check(not list(pathlib.Path(window.own).glob("*.gif")), "a film was begun beside the window and stopped, and left nothing")
    window.xdotool("key", "shift+p", "shift+p", "ctrl+p")
    card = pathlib.Path(window.own, "sandling-14-keycard.pdf")
    wait_until("the key card", card.exists)
    check(card.read_bytes().startswith(b"%PDF"), "Ctrl+P made the key card")


def settings(window):
    """What was changed by hand is there in the next window."""
    window.xdotool("key", "u")
    window.said.wait_for("rest", lambda line: line.startswith("idle 1 "))
    close(window)
    kept = pathlib.Path(window.own, "phasewright", "viewer.toml").read_text()
    check('units = "thou"' in kept and "theme" not in kept, "the units were kept, and nothing that was not changed")
    pathlib.Path(window.own, "phasewright", "viewer.toml").write_text("theme = dusk\n")
    window.open()
    close(window)
    window.errors.seek(0)
    # Libraries of the desktop may have words of their own, when there is none.
    lines = [line for line in window.errors.read().splitlines() if line.startswith("phasewright:")]
    check(len(lines) == 1 and "viewer.toml:1:" in lines[0], f"broken, they are left aside with one line: {lines}")


def without_a_display(program):
    environment = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    done = subprocess.run([program, "view"], env=environment, text=True, capture_output=True, timeout=PATIENCE_S, check=False)
    check(done.returncode == 2 and "OpenGL 3.3" in done.stderr and "LIBGL_ALWAYS_SOFTWARE=1" in done.stderr,
          "with no display it says what it needs")


def main():
    with tempfile.TemporaryDirectory(prefix="phasewright-window-") as own:
        return work_through(Window(sys.argv[1], own))


def work_through(window):
    try:
        without_a_display(sys.argv[1])
        window.start()
        for test in (drag_the_strip, change_a_key, rest, close, killed, films, settings):
            test(window)
    except Failure as failure:
        print("FAILED:", failure, file=sys.stderr)
        return 1
    finally:
        window.stop()
    return 0


sys.exit(main())
