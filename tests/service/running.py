"""A service in a process of its own, as a user starts it, and plain requests to it. Used by tests and benches."""

import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).parents[2]
ENDED = ("done", "stopped", "failed", "nothing_fits")


class Server:
    """`lotwire serve` over `home`. `call` gives (status, answer); leaving the block ends it as Ctrl-C does."""

    def __init__(self, home, *options, env=None):
        self.home, self.options, self.env = Path(home), options, env or {}

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *_):
        self.end(signal.SIGINT)

    def start(self):
        command = [sys.executable, "-m", "optimizer.cli", "serve", "--home", str(self.home), "--port", "0", "--no-browser", *map(str, self.options)]
        env = {**os.environ, "PYTHONPATH": str(ROOT), "OMP_NUM_THREADS": "1", **self.env}
        self.home.mkdir(parents=True, exist_ok=True)
        with open(self.home / "log", "a", encoding="utf-8") as log:
            self.process = subprocess.Popen(command, cwd=self.home, env=env, stdout=subprocess.PIPE, stderr=log, text=True)
        self.address = re.search(r"http://\S+[^/\s]", self.process.stdout.readline()).group()
        until(lambda: self.call("GET", "/api/about")[0] == 200, 60)

    def end(self, how=signal.SIGKILL):
        self.process.send_signal(how)
        self.process.wait(30)
        self.process.stdout.close()

    def call(self, method, path, body=None, token=None):
        headers = {"content-type": "application/json"} | ({"authorization": f"Bearer {token}"} if token else {})
        data = None if body is None else json.dumps(body).encode()
        try:
            with urllib.request.urlopen(urllib.request.Request(self.address + path, data, headers, method=method), timeout=200) as answer:
                return answer.status, parsed(answer.read(), answer.headers["content-type"])
        except urllib.error.HTTPError as error:
            return error.code, parsed(error.read(), error.headers["content-type"])
        except (urllib.error.URLError, ConnectionError) as error:
            return 0, str(error)

    def state(self, run, token=None):
        return self.call("GET", f"/api/runs/{run}", token=token)[1]

    def wait(self, run, within_s=300, token=None):
        """The run when it is over."""
        return until(lambda: (told := self.state(run, token))["state"] in ENDED and told, within_s)

    def workers(self):
        """Process ids of the runs at work."""
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text().split()
        found = [int(p) for t in Path(f"/proc/{self.process.pid}/task").iterdir() for p in (t / "children").read_text().split()] or list(map(int, children))
        return [p for p in sorted(set(found)) if b"optimizer.service.work" in Path(f"/proc/{p}/cmdline").read_bytes()]

    def folder(self, run):
        return self.home / "runs" / run


def parsed(raw, kind):
    return json.loads(raw) if raw and "json" in (kind or "") else raw


def until(true, within_s, every_s=0.1):
    """What `true()` gives once it is true. Fails after `within_s`."""
    end = time.monotonic() + within_s
    while not (found := true()):
        assert time.monotonic() < end, f"waited {within_s} s in vain"
        time.sleep(every_s)
    return found
