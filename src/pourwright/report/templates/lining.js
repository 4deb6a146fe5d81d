import * as THREE from "three";
import { OrbitControls } from "orbit";

const data = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const canvas = at("view");
const reach = Math.hypot(...data.size);
function numbers(text, Kind) {
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  return new Kind(bytes.buffer);
}
let renderer;
try {
  renderer = new THREE.WebGLRenderer({ canvas, antialias: true });
} catch (error) {
  throw error; // the cards have their pictures
}
document.body.classList.remove("flat");
renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
renderer.localClippingEnabled = true;
const scene = new THREE.Scene();
scene.background = new THREE.Color(0xfaf8f3);
const camera = new THREE.PerspectiveCamera(32, 1, reach / 200, reach * 20);
camera.up.set(0, 0, 1);
const orbit = new OrbitControls(camera, canvas);
scene.add(new THREE.HemisphereLight(0xffffff, 0xd8d2c6, 2.4));
const sun = new THREE.DirectionalLight(0xffffff, 1.2);
sun.position.set(-1, 1.5, 1);
camera.add(sun);
scene.add(camera);

const points = numbers(data.points, Float32Array);
const faces = points.length / 9;
const shape = new THREE.BufferGeometry();
shape.setAttribute("position", new THREE.BufferAttribute(points, 3));
shape.setAttribute("color", new THREE.BufferAttribute(new Float32Array(points.length), 3));
shape.computeVertexNormals();
const plane = new THREE.Plane(new THREE.Vector3(0, 1, 0), 0);
const body = new THREE.Mesh(shape, new THREE.MeshStandardMaterial({ vertexColors: true, roughness: 0.9, side: THREE.DoubleSide, clippingPlanes: [plane] }));
const piece = new THREE.Group();
piece.add(body);
scene.add(piece);
const rod = new THREE.Mesh(new THREE.CylinderGeometry(0.006 * reach, 0.006 * reach, 1.25 * reach, 12), new THREE.MeshBasicMaterial({ color: 0xe88a18 }));
piece.add(rod);
const pinned = data.pins.map((pin) => {
  const ball = new THREE.Mesh(new THREE.SphereGeometry(0.012 * reach, 16, 10), new THREE.MeshBasicMaterial({ color: 0x1b2a3a }));
  ball.position.set(...pin.point);
  piece.add(ball);
  return ball;
});
const tones = data.steps.map((step) => numbers(step.laid, Uint8Array));
const boards = numbers(data.boards, Uint8Array);
function paint(k) {
  const colours = shape.getAttribute("color");
  const tone = new THREE.Color();
  for (let f = 0; f < faces; f += 1) {
    const value = k ? tones[k - 1][f] : 0;
    tone.set(boards[f] ? data.board : data.tones[value]);
    for (let c = 0; c < 3; c += 1) colours.setXYZ(3 * f + c, tone.r, tone.g, tone.b);
  }
  colours.needsUpdate = true;
}
// The piece lies as the step says: its way up is up, its axis from left to right where it has one.
function lying(step) {
  const up = new THREE.Vector3(...step.up), right = new THREE.Vector3(...step.right);
  const away = new THREE.Vector3().crossVectors(up, right);
  const turned = new THREE.Matrix4().makeBasis(right, away, up);
  return new THREE.Quaternion().setFromRotationMatrix(turned).invert();
}
let now = 0, began = 0;
function show(k) {
  now = Math.max(0, Math.min(data.steps.length, k));
  at("step").value = now;
  at("said").textContent = now ? data.steps[now - 1].said : data.said;
  paint(now);
  const step = now ? data.steps[now - 1] : data.stand;
  piece.quaternion.copy(lying(step));
  rod.visible = Boolean(step.axis);
  if (step.axis) rod.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), new THREE.Vector3(...step.axis));
  began = performance.now();
  for (const item of document.querySelectorAll("li[data-step]")) item.classList.toggle("now", Number(item.dataset.step) === now);
}
function frame(time) {
  const wide = canvas.clientWidth, high = canvas.clientHeight;
  if (wide && high && (canvas.width !== Math.round(wide * renderer.getPixelRatio()) || canvas.height !== Math.round(high * renderer.getPixelRatio()))) {
    renderer.setSize(wide, high, false);
    camera.aspect = wide / high;
    camera.fov = (360 / Math.PI) * Math.atan(Math.tan((16 * Math.PI) / 180) / Math.min(1, camera.aspect));
    camera.updateProjectionMatrix();
  }
  const step = now ? data.steps[now - 1] : data.stand;
  if (step.axis && at("roll").checked) {
    const share = Math.min(1, (time - began) / 4000);
    const about = new THREE.Quaternion().setFromAxisAngle(new THREE.Vector3(...step.axis), -step.turn * share);
    piece.quaternion.copy(lying(step)).multiply(about);
    if (time - began > 5500) began = time;
  }
  const away = new THREE.Vector3().subVectors(new THREE.Vector3(0, 0, 0), camera.position).setZ(0).normalize();
  plane.set(away, at("half").checked ? 0 : 10 * reach);
  orbit.update();
  renderer.render(scene, camera);
  requestAnimationFrame(frame);
}
camera.position.set(0, -1.75 * reach, 0.42 * reach);
orbit.target.set(0, 0, 0);
at("back").addEventListener("click", () => show(now - 1));
at("next").addEventListener("click", () => show(now + 1));
at("step").addEventListener("input", (event) => show(Number(event.target.value)));
at("roll").addEventListener("change", () => show(now));
for (const item of document.querySelectorAll("li[data-step]")) {
  item.addEventListener("click", () => show(Number(item.dataset.step)));
  item.addEventListener("keydown", (event) => { if (event.key === "Enter") show(Number(item.dataset.step)); });
}
show(data.first);
requestAnimationFrame(frame);
