import * as THREE from "three";
import { OrbitControls } from "orbit";

const data = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const canvas = at("view");
const size = new THREE.Vector3(...data.size);
const middle = size.clone().multiplyScalar(0.5);
const reach = size.length();
const FAR = 1.85; // of the camera, in lengths of the piece

function numbers(text, Kind) {
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  return new Kind(bytes.buffer);
}

function surface(mesh, look) {
  const shape = new THREE.BufferGeometry();
  shape.setAttribute("position", new THREE.BufferAttribute(numbers(mesh.points, Float32Array), 3));
  shape.setIndex(new THREE.BufferAttribute(numbers(mesh.faces, Uint32Array), 1));
  shape.computeVertexNormals();
  return new THREE.Mesh(shape, new THREE.MeshStandardMaterial({ roughness: 0.75, side: THREE.DoubleSide, ...look }));
}

let renderer;
try {
  renderer = new THREE.WebGLRenderer({ canvas, antialias: true, stencil: true });
} catch (error) {
  document.body.classList.add("flat"); // the pictures, one a lift
  throw error;
}
renderer.localClippingEnabled = true;
renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
const scene = new THREE.Scene();
scene.background = new THREE.Color(0xfaf9f4);
const camera = new THREE.PerspectiveCamera(32, 1, reach / 200, reach * 20);
camera.up.set(0, 0, 1);
camera.position.copy(middle).add(new THREE.Vector3(...data.toward).normalize().multiplyScalar(FAR * reach));
const orbit = new OrbitControls(camera, canvas);
orbit.target.copy(middle);
orbit.update();
scene.add(new THREE.HemisphereLight(0xffffff, 0xc9c2b4, 2.2));
const sun = new THREE.DirectionalLight(0xffffff, 1.8);
camera.add(sun);
sun.position.set(-1, 1.5, 1);
scene.add(camera);

const plane = new THREE.Plane(new THREE.Vector3(0, 1, 0), 0);
const clipped = { clippingPlanes: [plane] };
const skin = surface(data.skin, {
  color: 0xcdd5da, transparent: true, opacity: 0.26, depthWrite: false, side: THREE.FrontSide, ...clipped });
skin.renderOrder = 900;
scene.add(skin);
const corners = skin.geometry.getAttribute("position").count;
const behind = numbers(data.fields.lift, Uint8Array);
const fields = new Map(data.fields.fields.map((field) => [field.key, { ...field, values: numbers(field.values, Uint8Array) }]));
const painted = new THREE.BufferAttribute(new Float32Array(3 * corners), 3);
skin.geometry.setAttribute("color", painted);
for (const field of fields.values()) at("colour").add(new Option(field.key === "gain" ? "stiffness gain" : `skin ${field.key}`, field.key));
at("colour").parentElement.hidden = !fields.size;
at("colour").value = data.shown;

// A cut face: where more back sides than front sides of a closed body lie behind the plane, the plane is inside it.
const sheet = new THREE.PlaneGeometry(3 * reach, 3 * reach);
function capped(shape, order) {
  const counted = (side, step) => {
    const look = new THREE.MeshBasicMaterial({
      side, colorWrite: false, depthWrite: false, depthTest: false, stencilWrite: true, stencilFunc: THREE.AlwaysStencilFunc, ...clipped });
    look.stencilFail = look.stencilZFail = look.stencilZPass = step;
    const body = new THREE.Mesh(shape, look);
    body.renderOrder = order;
    return body;
  };
  const look = new THREE.MeshStandardMaterial({
    roughness: 0.9, side: THREE.DoubleSide, stencilWrite: true, stencilRef: 0, stencilFunc: THREE.NotEqualStencilFunc });
  look.stencilFail = look.stencilZFail = look.stencilZPass = THREE.ReplaceStencilOp;
  const lid = new THREE.Mesh(sheet, look);
  lid.renderOrder = order + 0.5;
  lid.onAfterRender = () => renderer.clearStencil();
  const group = new THREE.Group();
  group.add(counted(THREE.BackSide, THREE.IncrementWrapStencilOp), counted(THREE.FrontSide, THREE.DecrementWrapStencilOp), lid);
  return { group, lid };
}

const lifts = data.lifts.map((lift, k) => {
  const body = surface(lift.mesh, { color: 0xbacbd8, ...clipped });
  const cap = capped(body.geometry, k + 1);
  body.renderOrder = 600;
  scene.add(body, cap.group);
  return { body, ...cap };
});

const spheres = new Map(); // a mark behind something shows through it, faintly
function mark(spot, colour, radius) {
  if (!spheres.has(radius)) spheres.set(radius, new THREE.SphereGeometry(radius * reach, 20, 12));
  const shape = spheres.get(radius);
  const ball = new THREE.Mesh(shape, new THREE.MeshStandardMaterial({ color: colour, roughness: 0.5 }));
  const ghost = new THREE.Mesh(shape, new THREE.MeshBasicMaterial({
    color: colour, transparent: true, opacity: 0.3, depthFunc: THREE.GreaterDepth, depthWrite: false }));
  ghost.renderOrder = 1000;
  ball.add(ghost);
  ball.position.set(...spot.point);
  ball.userData.name = spot.name;
  scene.add(ball);
  return ball;
}

const holes = data.holes.map((hole) => ({ ...hole, ball: mark(hole, { port: 0x1b2a3a, vent: 0xffffff, shore: 0x2e7d5b }[hole.kind], 0.009) }));
const ends = data.ends.map((end) => mark(end, end.kind === "pool" ? 0x2b6cb0 : 0xb3261e, 0.007));
const marks = [...holes.map((hole) => hole.ball), ...ends];

function named(kind, look) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", kind);
  for (const [key, value] of Object.entries(look)) made.setAttribute(key, value);
  at("names").append(made);
  return made;
}

const ways = [0, 1, 7, 2, 6, 3, 5, 4].map((k) => [Math.cos((k * Math.PI) / 4), -Math.sin((k * Math.PI) / 4)]);
const meets = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

// Each name goes where nothing else is, as near to its mark as there is room; without room it waits for a nearer view.
function writeNames(wide, high) {
  at("names").replaceChildren();
  const seen = marks.filter((ball) => ball.visible).map((ball) => {
    const place = ball.position.clone().project(camera);
    return { name: ball.userData.name, x: (0.5 + place.x / 2) * wide, y: (0.5 - place.y / 2) * high, z: place.z };
  }).filter((spot) => spot.z < 1 && spot.x > 0 && spot.x < wide && spot.y > 0 && spot.y < high);
  const taken = seen.map((spot) => [spot.x - 5, spot.y - 5, spot.x + 5, spot.y + 5]);
  for (const id of ["said", "controls", "scale", "title"]) {
    const box = at(id).getBoundingClientRect();
    if (box.width) taken.push([box.left, box.top, box.right, box.bottom]);
  }
  seen.sort((a, b) => a.x - b.x || a.y - b.y);
  for (const spot of seen) {
    const text = named("text", {});
    text.textContent = spot.name.length > 24 ? `${spot.name.slice(0, 23)}…` : spot.name;
    const long = text.getComputedTextLength() + 4;
    let found = null;
    for (const far of [9, 20, 34, 50, 70]) {
      for (const [dx, dy] of ways) {
        const x = spot.x + far * dx + (dx > 0.1 ? 0 : dx < -0.1 ? -long : -long / 2);
        const y = spot.y + far * dy;
        const box = [x - 2, y - 9, x + long, y + 9];
        if (box[0] > 0 && box[1] > 0 && box[2] < wide && box[3] < high && !taken.some((other) => meets(box, other))) {
          found = { x, y, far, box, to: [spot.x + far * dx, y] };
          break;
        }
      }
      if (found) break;
    }
    if (!found) {
      text.remove();
      continue;
    }
    taken.push(found.box);
    text.setAttribute("x", found.x.toFixed(1));
    text.setAttribute("y", (found.y + 4.5).toFixed(1));
    if (found.far > 9) named("path", { d: `M${spot.x.toFixed(1)} ${spot.y.toFixed(1)}L${found.to[0].toFixed(1)} ${found.to[1].toFixed(1)}` });
  }
}

const grey = new THREE.Color(0xc9c6be);

function paint(field, step) {
  skin.material.vertexColors = Boolean(field);
  skin.material.color.set(field ? 0xffffff : 0xcdd5da);
  skin.material.opacity = field ? 1 : 0.26;
  skin.material.transparent = !field;
  skin.material.depthWrite = Boolean(field);
  skin.material.side = field ? THREE.DoubleSide : THREE.FrontSide;
  skin.material.needsUpdate = true;
  at("scale").hidden = !field;
  document.body.classList.toggle("scaled", Boolean(field));
  if (!field) return;
  const spread = field.colours.map((c) => new THREE.Color().setRGB(c[0] / 255, c[1] / 255, c[2] / 255, THREE.SRGBColorSpace));
  const whole = field.key === "gain"; // the filled piece, at every step
  for (let k = 0; k < corners; k++) {
    const value = field.values[k];
    const shown = value < 255 && (whole || behind[k] < step);
    const colour = shown ? spread[Math.round((value / 254) * (spread.length - 1))] : grey;
    painted.setXYZ(k, colour.r, colour.g, colour.b);
  }
  painted.needsUpdate = true;
  at("scale_title").textContent = field.title;
  at("bar").style.background = `linear-gradient(to top, ${field.colours.map((c) => `rgb(${c.join(",")})`).join(", ")})`;
  const placed = ([place, words], kind) => {
    const tick = document.createElement("span");
    tick.style.bottom = `${100 * place}%`;
    tick.textContent = words;
    tick.className = kind;
    return tick;
  };
  const clear = field.ticks.filter(([place]) => !field.limit || Math.abs(place - field.limit[0]) > 0.13);
  at("ticks").replaceChildren(...clear.map((tick) => placed(tick, "")), ...(field.limit ? [placed(field.limit, "limit")] : []));
}

function line(words, kind = "") {
  const made = document.createElement("p");
  made.textContent = words;
  made.className = kind;
  return made;
}

function show() {
  const step = Number(at("step").value);
  const cutting = Number(at("cut").value) > 0;
  lifts.forEach(({ body, group, lid }, k) => {
    body.visible = k < step;
    group.visible = cutting && k < step;
    const colour = k === step - 1 ? 0xe88a18 : k % 2 ? 0xbacbd8 : 0xc8d7e2;
    body.material.color.set(colour);
    lid.material.color.set(colour);
  });
  const field = fields.get(at("colour").value);
  paint(field, step);
  skin.visible = at("skin").checked;
  const named = step ? data.lifts[step - 1].holes : null; // all of them before the first lift
  for (const hole of holes) hole.ball.visible = at("holes").checked && (!named || named.includes(hole.name));
  for (const end of ends) end.visible = at("ends").checked;
  const axis = Number(at("way").value);
  const share = Number(at("cut").value) / 100;
  plane.normal.set(0, 0, 0).setComponent(axis, axis === 2 ? -1 : 1);
  const length = size.getComponent(axis);
  plane.constant = axis === 2 ? length * (1.001 - share) : -length * (share - 0.001);
  for (const { lid } of lifts) {
    plane.coplanarPoint(lid.position);
    lid.lookAt(lid.position.clone().sub(plane.normal));
  }
  at("number").textContent = step ? `${data.lifts[step - 1].number} of ${data.lifts[data.lifts.length - 1].number}` : "none";
  const told = step && field && field.said[step - 1];
  const said = step ? data.lifts[step - 1].said.split("\n") : [data.said];
  at("said").replaceChildren(
    ...(step ? [line(said[0], "head")] : []),
    ...(told ? told.split("\n").map((words) => line(`${field.title}: ${words}`)) : []),
    ...said.slice(step ? 1 : 0).map((words) => line(words)));
  at("said").scrollTop = 0;
  draw();
}

// The piece stands where no words are: left of them on a wide screen, on a phone between them, where it is largest.
let fitted = "";
function fit(wide, high) {
  document.documentElement.style.setProperty("--low", `${at("controls").offsetHeight}px`);
  const box = (id) => at(id).getBoundingClientRect();
  const broad = wide > 640;
  const bottom = box(broad ? "controls" : "said").top;
  const cautions = box("cautions");
  const left = broad && at("cautions").open ? cautions.right : 0;
  const above = Math.max(box("title").bottom, broad || at("cautions").open ? 0 : cautions.bottom);
  const free = broad ? [[0.02 * high, box("said").left]] : [[above, wide]];
  if (!broad && !at("scale").hidden) {
    free.splice(0, 1, [Math.max(above, box("scale").bottom), wide], [above, box("scale").left]);
  }
  const now = JSON.stringify([wide, high, bottom, left, free]);
  if (now === fitted) return;
  fitted = now;
  renderer.setSize(wide, high, false);
  camera.aspect = wide / high;
  const across = Math.hypot(size.x, size.y);
  const seen = 2 * Math.tan((camera.fov * Math.PI) / 360) * FAR * reach; // metres in the height of the picture, at zoom 1
  camera.zoom = 0;
  for (const [top, right] of free) {
    const zoom = (0.92 * seen * Math.min((bottom - top) / (0.95 * size.z + 0.33 * across), (right - left) / across)) / high;
    if (zoom <= camera.zoom) continue;
    camera.zoom = zoom;
    camera.setViewOffset(wide, high, (wide - right - left) / 2, (high - top - bottom) / 2, wide, high);
  }
  camera.updateProjectionMatrix();
}

function draw() {
  const { clientWidth: wide, clientHeight: high } = canvas;
  fit(wide, high);
  renderer.render(scene, camera);
  writeNames(wide, high);
}

function move(by) {
  at("step").value = Number(at("step").value) + by;
  show();
}

at("back").addEventListener("click", () => move(-1));
at("next").addEventListener("click", () => move(1));
at("controls").addEventListener("input", show);
orbit.addEventListener("change", draw);
addEventListener("resize", draw);
if (innerWidth <= 640 && !document.body.classList.contains("flat")) at("cautions").open = false; // there is no room beside the piece
at("cautions").addEventListener("toggle", draw);
const asked = /lift=(\d+)/.exec(location.hash);
if (asked) at("step").value = asked[1];
show();
