"""What makes the house open when its machine starts: a unit for systemd, a plist for launchd, a task for Windows."""

from __future__ import annotations

import getpass
import os
import platform
from dataclasses import dataclass
from pathlib import PurePath
from xml.sax.saxutils import escape

SYSTEMS = {"Linux": "systemd", "Darwin": "launchd", "Windows": "windows"}


@dataclass(frozen=True, slots=True)
class AtBoot:
    """text: the file.  where: where it goes.  then: the commands that put it to work."""

    text: str
    where: str
    then: tuple[str, ...]


def this_system() -> str:
    """Which of the three this machine has."""
    return SYSTEMS.get(platform.system(), "systemd")


def at_boot(
    system: str, *, program: PurePath, data: PurePath, arguments: tuple[str, ...] = ("--home",), user: str = ""
) -> AtBoot:
    """What to write for that system, and where.

    program: the installed `barnbook`.  data: the data folder, absolute.  arguments: after `serve`.  user: for Windows,
    whose sign-in opens the house; default: whoever asks.
    """
    words = [str(program), "serve", "--data", str(data), *arguments]
    if system == "windows":
        return _windows(words, user or this_user())
    return {"systemd": _systemd, "launchd": _launchd}[system](words)


def this_user() -> str:
    """Who is signed in, as Windows names them."""
    domain = os.environ.get("USERDOMAIN", "")
    return f"{domain}\\{getpass.getuser()}" if domain else getpass.getuser()


def _plain(text: str) -> str:
    """For XML, in ASCII: whatever code page the file is written in, it says the same."""
    return escape(text).encode("ascii", "xmlcharrefreplace").decode("ascii")


def _systemd(words: list[str]) -> AtBoot:
    command = " ".join('"' + word.replace("%", "%%").replace("\\", "\\\\").replace('"', '\\"') + '"' for word in words)
    text = f"""[Unit]
Description=Barnbook, the barn's book
Wants=network-online.target
After=network-online.target

[Service]
ExecStart={command}
Restart=on-failure
RestartSec=10

[Install]
WantedBy=default.target
"""
    return AtBoot(
        text,
        "~/.config/systemd/user/barnbook.service",
        ("systemctl --user enable --now barnbook", "loginctl enable-linger  (so that it runs before anybody signs in)"),
    )


def _launchd(words: list[str]) -> AtBoot:
    listed = "\n".join(f"    <string>{_plain(word)}</string>" for word in words)
    text = f"""<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
  <key>Label</key>
  <string>barnbook</string>
  <key>ProgramArguments</key>
  <array>
{listed}
  </array>
  <key>RunAtLoad</key>
  <true/>
  <key>KeepAlive</key>
  <true/>
</dict>
</plist>
"""
    return AtBoot(
        text,
        "~/Library/LaunchAgents/barnbook.plist",
        ("launchctl bootstrap gui/$(id -u) ~/Library/LaunchAgents/barnbook.plist",),
    )


def _windows(words: list[str], user: str) -> AtBoot:
    # Elements as learn.microsoft.com/en-us/windows/win32/taskschd has them. With its owner named the task starts for
    # nobody else, and needs no administrator (from memory).
    rest = " ".join(f'"{word}"' if " " in word else word for word in words[1:])
    text = f"""<?xml version="1.0"?>
<Task version="1.2" xmlns="http://schemas.microsoft.com/windows/2004/02/mit/task">
  <Triggers>
    <LogonTrigger>
      <Enabled>true</Enabled>
      <UserId>{_plain(user)}</UserId>
    </LogonTrigger>
  </Triggers>
  <Principals>
    <Principal id="Owner">
      <UserId>{_plain(user)}</UserId>
      <LogonType>InteractiveToken</LogonType>
      <RunLevel>LeastPrivilege</RunLevel>
    </Principal>
  </Principals>
  <Settings>
    <DisallowStartIfOnBatteries>false</DisallowStartIfOnBatteries>
    <StopIfGoingOnBatteries>false</StopIfGoingOnBatteries>
    <ExecutionTimeLimit>PT0S</ExecutionTimeLimit>
    <RestartOnFailure>
      <Interval>PT1M</Interval>
      <Count>10</Count>
    </RestartOnFailure>
  </Settings>
  <Actions Context="Owner">
    <Exec>
      <Command>{_plain(words[0])}</Command>
      <Arguments>{_plain(rest)}</Arguments>
    </Exec>
  </Actions>
</Task>
"""
    return AtBoot(
        text, "barnbook.xml", ("schtasks /Create /TN Barnbook /XML barnbook.xml", "schtasks /Run /TN Barnbook")
    )
