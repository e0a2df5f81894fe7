"""The cup: profile → flat ⇄ wall mapping → mesh with flat coordinates."""
