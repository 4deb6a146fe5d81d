
// A click on the skin: where that is, by tape and on the file's own axes, as lines for the job.
{
  const box = document.createElement("section");
  box.id = "picked";
  box.hidden = true;
  const close = document.createElement("button");
  close.type = "button";
  close.textContent = "\u00d7";
  close.setAttribute("aria-label", "Close");
  const heading = document.createElement("p");
  const lines = document.createElement("textarea");
  lines.readOnly = true;
  lines.setAttribute("aria-label", "Lines for the job file");
  box.append(close, heading, lines);
  document.body.append(box);

  const dot = new THREE.Mesh(new THREE.SphereGeometry(0.006 * reach, 16, 10), new THREE.MeshBasicMaterial({ color: 0xc2185b }));
  dot.visible = false;
  scene.add(dot);

  const mm = (value) => `"${Math.round(1e3 * value)} mm"`;
  const tape = (value) => `${Math.round(1e3 * value)} mm (${(value / 0.0254).toFixed(2)} in)`;
  // Standing = turn * shell - offset; so shell = turn' * (standing + offset).
  const toShell = (frame, p) => [0, 1, 2].map((k) => [0, 1, 2].reduce((sum, j) => sum + frame.turn[j][k] * (p[j] + frame.offset[j]), 0));
  const toStanding = (frame, p) => [0, 1, 2].map((k) => [0, 1, 2].reduce((sum, j) => sum + frame.turn[k][j] * p[j], 0) - frame.offset[k]);
  const block = (title, at, long, sides) => [
    `# ${title}`,
    ...sides.map(([axis, near, far]) => `from_${near} = ${mm(at[axis])}   # or from_${far} = ${mm(long[axis] - at[axis])}`),
  ];

  function told(point) {
    const pick = data.pick;
    const shell = toShell(pick, point);
    const all = [[0, "left", "right"], [1, "front", "back"], [2, "base", "top"]];
    const out = [
      "# a point of the file's own axes", `at = [${shell.map(mm).join(", ")}]`, "",
      ...block("the same by tape, as it stands to be poured (items, slings)", point, [size.x, size.y, size.z], all)];
    if (pick.hang) out.push("", ...block("the same as it hangs, facing the wall (anchors)", toStanding(pick.hang, shell), pick.hang.size, [all[0], all[2]]));
    return out.join("\n");
  }

  function put(x, y) {
    const place = canvas.getBoundingClientRect();
    const way = new THREE.Vector2((2 * (x - place.left)) / place.width - 1, 1 - (2 * (y - place.top)) / place.height);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(way, camera);
    const cutting = Number(at("cut").value) > 0;
    const hit = ray.intersectObject(skin, false).find((one) => !cutting || plane.distanceToPoint(one.point) >= 0);
    if (!hit) return;
    dot.position.copy(hit.point);
    dot.visible = true;
    const point = hit.point.toArray();
    heading.textContent = `${tape(point[0])} from the left, ${tape(point[1])} from the front, ${tape(point[2])} up, as it stands. Copy the lines that you need:`;
    lines.value = told(point);
    lines.rows = lines.value.split("\n").length;
    box.hidden = false;
    lines.scrollTop = 0;
    draw();
  }

  let from = null;
  canvas.addEventListener("pointerdown", (event) => { from = [event.clientX, event.clientY]; });
  canvas.addEventListener("pointerup", (event) => {
    if (from && Math.hypot(event.clientX - from[0], event.clientY - from[1]) < 5) put(event.clientX, event.clientY);
    from = null;
  });
  lines.addEventListener("focus", () => lines.select());
  close.addEventListener("click", () => { box.hidden = true; dot.visible = false; draw(); });
}
