import * as THREE from "three";
import { OrbitControls } from "orbit";

const data = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const canvas = at("view");
const size = new THREE.Vector3(...data.size);
const middle = size.clone().multiplyScalar(0.5);
const reach = size.length();

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
  renderer = new THREE.WebGLRenderer({ canvas, antialias: true });
} catch (error) {
  at("said").textContent = "This browser shows no three-dimensional pictures here; the sheet and the pictures tell the same.";
  throw error;
}
renderer.localClippingEnabled = true;
renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
const scene = new THREE.Scene();
scene.background = new THREE.Color(0xfaf9f4);
const camera = new THREE.PerspectiveCamera(32, 1, reach / 200, reach * 20);
camera.up.set(0, 0, 1);
camera.position.copy(middle).add(new THREE.Vector3(-0.75, -1.9, 0.7).normalize().multiplyScalar(1.85 * reach));
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
  color: 0xf2f0ea, transparent: true, opacity: 0.22, depthWrite: false, side: THREE.FrontSide, ...clipped });
skin.renderOrder = 2;
scene.add(skin);
const lifts = data.lifts.map((lift) => {
  const body = surface(lift.mesh, { color: 0x7f9bb3, ...clipped });
  scene.add(body);
  return body;
});

function mark(spot, colour, radius) {
  const ball = new THREE.Mesh(
    new THREE.SphereGeometry(radius * reach, 20, 12), new THREE.MeshStandardMaterial({ color: colour, roughness: 0.5 }));
  ball.position.set(...spot.point);
  ball.add(label(spot.name));
  return ball;
}

function label(text) {
  const board = document.createElement("canvas");
  board.width = 256;
  board.height = 96;
  const pen = board.getContext("2d");
  pen.font = "600 56px sans-serif";
  pen.lineWidth = 10;
  pen.strokeStyle = "#faf9f4";
  pen.textBaseline = "middle";
  pen.strokeText(text, 20, 48);
  pen.fillStyle = "#1b2a3a";
  pen.fillText(text, 20, 48);
  const look = new THREE.SpriteMaterial({ map: new THREE.CanvasTexture(board), depthTest: false });
  const sprite = new THREE.Sprite(look);
  sprite.scale.set(0.11 * reach, 0.041 * reach, 1);
  sprite.center.set(-0.05, 0.5);
  sprite.renderOrder = 4;
  return sprite;
}

const holes = data.holes.map((hole) => ({ ...hole, ball: mark(hole, hole.kind === "port" ? 0x1b2a3a : 0xffffff, 0.009) }));
const ends = data.ends.map((end) => mark(end, end.kind === "pool" ? 0x2b6cb0 : 0xb3261e, 0.007));
for (const one of [...holes.map((hole) => hole.ball), ...ends]) scene.add(one);

function show() {
  const step = Number(at("step").value);
  lifts.forEach((body, k) => {
    body.visible = k < step;
    body.material.color.set(k === step - 1 ? 0xf5a623 : k % 2 ? 0x6f8da6 : 0x8fa9bd);
  });
  skin.visible = at("skin").checked;
  const named = step ? data.lifts[step - 1].holes : null; // all of them before the first lift
  for (const hole of holes) hole.ball.visible = at("holes").checked && (!named || named.includes(hole.name));
  for (const end of ends) end.visible = at("ends").checked;
  const axis = Number(at("way").value);
  const share = Number(at("cut").value) / 100;
  plane.normal.set(0, 0, 0).setComponent(axis, axis === 2 ? -1 : 1);
  const length = size.getComponent(axis);
  plane.constant = axis === 2 ? length * (1.001 - share) : -length * (share - 0.001);
  at("number").textContent = step ? `${data.lifts[step - 1].number} of ${data.lifts[data.lifts.length - 1].number}` : "none";
  at("said").textContent = step ? data.lifts[step - 1].said : data.said;
  draw();
}

function draw() {
  const { clientWidth: wide, clientHeight: high } = canvas;
  if (canvas.width !== Math.round(wide * renderer.getPixelRatio()) || canvas.dataset.high !== String(high)) {
    renderer.setSize(wide, high, false);
    canvas.dataset.high = String(high);
    camera.aspect = wide / high;
    camera.zoom = Math.min(1, (1.1 * wide) / high);
    const broad = wide > 640; // the piece stands beside the words, on a phone above them
    camera.setViewOffset(wide, high, broad ? 0.12 * wide : 0, broad ? 0.04 * high : 0.13 * high, wide, high);
    camera.updateProjectionMatrix();
  }
  renderer.render(scene, camera);
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
const asked = /lift=(\d+)/.exec(location.hash);
if (asked) at("step").value = asked[1];
show();
