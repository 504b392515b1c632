"""The decision program tests/reference/decision_case as a Python object, and its answers beside those of another implementation of the rules
(M21 to M33): a module `decision` with decide(), scenarios(), as numpy arrays over the draws."""
import subprocess


class Library:
    def __init__(self, program):
        self.process = subprocess.Popen([program], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        self.known = None

    def _shades(self, shades):
        if self.known == id(shades):
            return
        self.known = id(shades)
        self._write("clear")
        for s in shades:
            lab = " ".join(repr(float(x)) for x in s["lab"])
            self._write(f"shade {s['code']} {lab} {float(s.get('u', .6))!r} {float(s.get('gray_share', 0))!r}")

    def _write(self, line):
        self.process.stdin.write(line + "\n")

    def decide(self, zones, shades, layers, rows, worn=None, scenarios=False):
        """[{choice, runner, numbers, role: {..}}]: the decision, then the steps of its scenarios."""
        numbers = lambda values: " ".join(repr(float(v)) for v in values)
        self._shades(shades)
        for name, z in zones.items():
            told, looked = "base" in z, "s" in z or "sd" in z
            self._write(f"zone {z['kind']} {name} {numbers(z['lab'])} {numbers(z['sigma'])} {int(looked)} {numbers((z.get('s', 0), z.get('sd', 0)))} "
                        f"{int(told)} {numbers(z.get('base', (0, 0, 0)))} {numbers(z.get('gray', (0, 0, 0)))}")
        for cm, place in rows if isinstance(rows, list) else [(rows, "back")]:
            self._write(f"row {place} {float(cm)!r}")
        if worn:
            self._write(f"worn {worn['A']} {worn.get('X') or '-'} " + " ".join("".join(str(round(6 * f)) for f in d) for d in worn["designs"]))
        self._write(f"decide {layers} {int(scenarios)}")
        self.process.stdin.flush()
        answers = [{"role": {}}]
        while (words := self.process.stdout.readline().split())[0] != "end":
            if words[0] == "scenario":
                answers.append({"role": {}, "share": float(words[1])})
            elif words[0] == "role":
                answers[-1]["role"][words[1]] = words[2:]
            else:
                answers[-1][words[0]] = words[1:]
        return answers


def as_text(c):
    """A candidate of the other implementation as the library prints it: shades, sixths of each segment, pieces."""
    if c is None:
        return ["-", "-", "-", "0"]
    designs = ",".join("".join(str(round(6 * f)) for f in d) for d in c["designs"])
    return [c["A"]["sw"]["code"], c["X"]["sw"]["code"] if c["X"] else "-", designs, str(c["pieces"])]


def differences(answer, other, roles=True):
    """([what differs], the largest difference of a number)"""
    found, worst = [], 0.0
    for name, c in (("choice", other), ("runner", other["runner_up"])):
        if answer[name][:4] != as_text(c):
            found.append(f"{name} {answer[name]} and {as_text(c)}")
        elif c:
            worst = max(worst, abs(float(answer[name][4]) - c["E"]))
    got, want = [float(x) for x in answer["numbers"][:5]], [other["far"][1:].mean(), other["near"][1:].mean(), *other["p"]]
    if not found:
        worst = max([worst] + [abs(a - b) for a, b in zip(got, want)])
    if answer["numbers"][5:] != [str(other["best10"]), other["verdict"], str(other["count"])]:
        found.append(f"numbers {answer['numbers']} and {other['best10']} {other['verdict']} {other['count']}")
    for role in ("base", "gray", "blend") if roles else ():
        if answer["role"][role] != [x["sw"]["code"] for x in other["roles"][role]]:
            found.append(f"role {role} {answer['role'][role]}")
    return found, worst
