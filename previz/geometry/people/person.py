"""The whole walk from a figure and a pose to a body made of pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people import (
    chart,
    cloth,
    eyes,
    hairs,
    lids,
    shoulders,
    skin,
    sockets,
    wardrobe,
)
from previz.geometry.people.archive import Array, BodyData, Index, default_archive, load_archive
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.expression import SPEAKING, express, folds
from previz.geometry.people.figure import Body, Clothes, Figure, Headwear, Pose, Strands
from previz.geometry.people.gaze import Gaze, look
from previz.geometry.people.growth import maturity
from previz.geometry.people.hair import brows, gathered
from previz.geometry.people.hair.form import HeadForm, head_form
from previz.geometry.people.hair.groom import Ground, groom
from previz.geometry.people.hair.shade import recession_m, shaded, stubble_share
from previz.geometry.people.hair.styles import STYLES
from previz.geometry.people.hair.tones import reflectance
from previz.geometry.people.headwear import SCARVES, Head, covered, headwear
from previz.geometry.people.landmarks import find_landmarks, joint_weight
from previz.geometry.people.meshing import (
    Subdivision,
    catmull_clark,
    compact,
    cut,
    normals,
    triangles,
)
from previz.geometry.people.named import named_points
from previz.geometry.people.posture import Posed, pose_arms, pose_trunk
from previz.geometry.people.scalp import beard_edge, hairline
from previz.geometry.people.shape import RestBody, face_of, rest_body
from previz.geometry.people.skeleton import skin as carry
from previz.geometry.people.spectacles import spectacles
from previz.geometry.people.teeth import upper_row
from previz.geometry.people.visible import VisibleSkin
from previz.geometry.piece import Piece
from previz.memory import remembered

ENLARGED = ((1.10, 1.55), (1.6, 1.0))
"""By stature, how much larger clothes are cut than they are worn: judged by eye, no source."""
TEETH = np.array([0.22, 0.18, 0.13])
TONGUE = np.array([0.30, 0.09, 0.08])


def build_person(figure: Figure, pose: Pose, archive: Path | None = None) -> Body:
    """A person as meshes and hair, in the person's own frame (see Pose); metres.

    archive  the body data; by default the catalogue's own
    """
    data = load_archive(default_archive() if archive is None else archive)
    rest = rest_body(data, figure)
    balls = [sockets.socket(data, rest.vertices, side) for side in ("left", "right")]
    posed = pose_trunk(rest, figure, pose)
    posed, gaze = look(posed, pose, np.array([s.centre for s in balls]))
    posed = pose_arms(rest, posed, pose)
    scale = rest.achieved["headlength"] / 0.199
    opening = lids.at_rest(figure.age_years, face_of(figure).asia)
    at_rest = express(
        data, rest.vertices, figure.expression, gaze.eye_pitch_rad, scale, opening, figure.seed
    )
    moved = carry(at_rest, data.weight_joints, data.weights, posed.transforms)
    moved = shoulders.settle(rest, posed, moved)
    work = _Work(data, figure, pose, rest, posed, gaze, at_rest, moved)
    visible = work.visible_skin()
    pieces = [*work.skin_pieces(visible), *work.eye_pieces(balls[0].radius_m)]
    worn = work.clothes()
    pieces += worn
    if figure.spectacles:
        marks = find_landmarks(data)
        ears = moved[list(marks.ear)]
        turn = posed.transforms[data.joint("head")][:3, :3]
        pieces += spectacles(gaze.centres, ears, balls[0].radius_m, turn)
    hair, strands = work.hair(visible, worn)
    pieces += hair
    return Body(
        pieces=tuple(pieces),
        strands=strands,
        landmarks=named_points(rest, posed, gaze, moved, strands),
        face_forward=gaze.face_forward,
        gaze=gaze.direction,
        eye_axes=gaze.axes,
    )


@dataclass(frozen=True, eq=False)
class _Work:
    """Everything the parts of a person are made from."""

    data: BodyData
    figure: Figure
    pose: Pose
    rest: RestBody
    posed: Posed
    gaze: Gaze
    at_rest: Array
    moved: Array

    @property
    def seat_height_m(self) -> float | None:
        """Height of the seat, or None when standing."""
        return None if self.pose.stands else self.pose.seat_height_m

    @cached_property
    def enlarged(self) -> float:
        """By how much clothes are cut larger than they are worn.

        Room, seams and folds are lengths that suit a grown-up: who is smaller wears the clothes of
        somebody of the same proportions, made smaller.
        """
        return float(np.interp(self.rest.wanted["stature"], *ENLARGED))

    @cached_property
    def cuts(self) -> Cuts:
        """Where clothes end on the enlarged body."""
        grown = self.enlarged
        return Cuts(
            replace(self.rest, vertices=grown * self.rest.vertices, joints=grown * self.rest.joints)
        )

    def clothes(self) -> tuple[Piece, ...]:
        """What is worn, in the size of the person."""
        worn = wardrobe.dress(self.suit, self.figure)
        if self.enlarged == 1.0:
            return worn
        smaller = np.diag([1.0 / self.enlarged] * 3 + [1.0])
        return tuple(piece.moved(smaller) for piece in worn)

    def skin_pieces(self, visible: VisibleSkin) -> list[Piece]:
        """Skin that shows, brows, lashes and the inside of the mouth."""
        # Boys have the brows of women until they grow up.
        heavy = self.figure.sex == "male" and maturity(self.figure.age_years) > 0.5
        faces, points, colour, base = visible.faces, visible.posed, visible.colour, visible.base
        rough = skin.roughness(self.data, visible.rest, self.rest.vertices, self.figure.seed)
        if self._headwear in SCARVES:
            # A scarf holds the ears flat: what it hides is not there. Hands go on.
            under = covered(self._headwear, visible.rest - self._between_eyes, self._chin_m)
            outside = np.maximum(-under, self._chin_at_rest()[2] - 0.25 - visible.rest[:, 2])
            packed = (points, colour, rough[:, None], base)
            faces, (points, colour, uneven, base) = cut(faces, outside, *packed)
            rough = uneven[:, 0]
        pieces = self._head_and_hands(faces, points, colour, rough, base)
        surface = hairs.FaceSurface(visible.rest, visible.posed, visible.front, visible.normals)
        hue = reflectance(self.figure.hair_colour)
        scale, seed = self._head_scale(), self.figure.seed
        pieces.append(brows.brows(surface, self._eyes_at_rest(), scale, heavy, hue, seed + 11))
        strips, random = self.data.faces["lashes"], np.random.default_rng(seed)
        each = 3 if self.figure.age_years < 55.0 else 2
        pieces.append(brows.lashes(self.moved, strips, self.gaze.centres, random, each))
        pieces += self._lid_edges()
        pieces.append(self._part("teeth", "teeth", TEETH))
        if self.figure.expression in SPEAKING:
            pieces.append(self._upper_teeth())
        pieces.append(self._part("tongue", "skin", TONGUE))
        return pieces

    def _head_and_hands(
        self, faces: Index, points: Array, colour: Array, rough: Array, base: Array
    ) -> list[Piece]:
        """The head has its own lines and spots; hands have what all skin has."""
        figure = self.figure
        stubble_pct = round(100.0 * stubble_share(figure))
        ita_deg, age_years = round(skin.ita_of(figure.skin)), round(figure.age_years)
        pressed = folds(figure.expression, figure.seed)
        own = chart.Complexion(age_years, stubble_pct, ita_deg, figure.seed, *pressed).name
        head = chart.is_head(self.data, base)[faces[:, 0]]
        pieces = []
        for name, material, chosen in (("skin", own, head), ("hands", "skin", ~head)):
            corners, (at, paint, shine, flat) = compact(
                faces[chosen], points, colour, rough[:, None], base
            )
            look = (material, True, paint, None, shine[:, 0])
            uv = chart.places(self.data, flat) if material == own else None
            piece = Piece(name, Mesh(at, corners), *look, closed=False, uv=uv)
            pieces += [piece] if len(corners) else []
        return pieces

    def visible_skin(self) -> VisibleSkin:
        """The skin no garment hides."""
        data = self.data
        n = data.ranges["body"][1]
        rest, moved = self.at_rest[:n], self.moved[:n]
        # The same however they sit and wherever they look.
        tone = remembered(("tone", self.rest, self.figure), self._tone)
        edge, lip = beard_edge(data)
        hair = hairline(data, recession_m(self.figure))
        grown = np.stack([hair, edge, lip, data.masks["ears"][:n]], axis=1)
        packed = np.concatenate([rest, moved, tone, grown, data.base[:n]], axis=1)
        used, step, corners = _bare(data, _as_bare(self.figure.clothes))
        packed = step(
            np.column_stack(
                [packed, _shown(data, self.cuts, self.enlarged * rest, self.figure.clothes)]
            )[used]
        )
        faces, (packed,) = cut(corners, packed[:, -1], packed)
        rest, moved, tone = packed[:, :3], packed[:, 3:6], packed[:, 6:9]
        tone = np.clip(tone, 0.002, 0.9)
        return VisibleSkin(rest, moved, faces, tone, packed[:, 13:16], *packed[:, 9:13].T)

    def _tone(self) -> Array:
        """Reflectance (n, 3) of the whole skin, shaded where hair grows."""
        data, figure = self.data, self.figure
        tone = skin.paint(
            data,
            self.rest.vertices,
            figure.skin,
            figure.sex == "male",
            float(np.clip((figure.age_years - 25.0) / 65.0, 0.0, 1.0)),
            figure.seed,
            stubble_share(figure),
        )
        return shaded(tone, data, self.rest.vertices, figure)

    def hair(
        self, visible: VisibleSkin, worn: Sequence[Piece]
    ) -> tuple[list[Piece], Strands | None]:
        """Hair as one mesh and as strands, two pictures of the same groom, and what is worn on it.

        worn  the clothes, which long hair lies on
        """
        figure = self.figure
        style = None if self._headwear in SCARVES else STYLES.get(figure.hair)
        form = self._form(visible, worn, style is not None and style.over_ears)
        head = Head(
            form,
            np.asarray(np.linalg.inv(self._head), float),
            self._between_eyes,
            self._chin_at_rest(),
        )
        colour = np.array(figure.scarf_colour)
        pieces = headwear(self._headwear, head, colour, figure.seed)
        ground = Ground(
            visible.posed, visible.normals, visible.faces, visible.hair, visible.beard, visible.lip
        )
        hidden = covered(self._headwear, visible.rest - self._between_eyes, self._chin_m)
        strands = groom(figure, style, form, ground, self.gaze.centres, hidden)
        if strands is None:
            return pieces, None
        random = np.random.default_rng(figure.seed + 21)
        hue = reflectance(figure.hair_colour)
        high = np.full(len(hidden), -1.0) if style is None else np.minimum(visible.hair, -hidden)
        faces, (at, high) = cut(visible.faces, high, visible.posed, visible.hair[:, None])
        cap = at + normals(at, faces) * (0.0006 + 0.002 * np.clip(high / 0.02, 0.0, 1.0))
        pieces.append(hairs.hair_mesh(strands.points, cap, faces, hue, random))
        if style is not None and style.tie in gathered.KNOTS:
            core = Mesh(*gathered.bun_core(form, style.tie))
            pieces.append(Piece("bun", core, "hair", smooth=True, colour=hue))
        return pieces, strands

    def _form(self, visible: VisibleSkin, worn: Sequence[Piece], ears: bool) -> HeadForm:
        """The head as hair and cloth meet it, with or without its ears."""
        faces = visible.faces
        around = [
            (visible.posed, faces if ears else faces[(visible.ears[faces] < 0.3).all(axis=1)])
        ]
        around += [(np.asarray(p.mesh.vertices), np.asarray(p.mesh.faces)) for p in worn]
        return head_form(visible.posed[visible.hair > 0.0], around, self._head[:3, :3])

    @property
    def _headwear(self) -> Headwear:
        """What is worn: covered hair is so by a headscarf, unless something else is named."""
        named = self.figure.headwear
        return "headscarf" if self.figure.hair == "covered" and named == "none" else named

    @property
    def _head(self) -> Array:
        """Where the head at rest is carried (4, 4)."""
        return np.asarray(self.posed.transforms[self.data.joint("head")])

    @cached_property
    def _between_eyes(self) -> Array:
        left, right = self._eyes_at_rest()
        return 0.5 * (left + right)

    @property
    def _chin_m(self) -> float:
        """Height of the chin over the eyes, at rest: below 0."""
        return float(self._chin_at_rest()[2] - self._between_eyes[2])

    def _chin_at_rest(self) -> Array:
        return np.asarray(self.rest.vertices[find_landmarks(self.data).chin])

    def _upper_teeth(self) -> Piece:
        """The row that shows when lips part; the body's own teeth are but a backing."""
        marks, scale = find_landmarks(self.data), self._head_scale()
        lips = self.rest.vertices[[marks.mouth_upper, marks.mouth_lower]].mean(axis=0)
        row = upper_row(lips + scale * np.array([0.0, 0.0082, -0.0034]), scale)
        return row.moved(self.posed.transforms[self.data.joint("head")])

    def _lid_edges(self) -> list[Piece]:
        """Wet edges of both lower lids."""
        ita_deg = skin.ita_of(self.figure.skin)
        head = self.posed.transforms[self.data.joint("head")]
        found = []
        for side in ("left", "right"):
            ball = sockets.socket(self.data, self.rest.vertices, side)
            found.append(lids.lid_edge(self.data, self.at_rest, ball, side, ita_deg).moved(head))
        return found

    def _part(self, name: str, material: str, colour: Array) -> Piece:
        faces, (points,) = compact(triangles(self.data.faces[name]), self.moved)
        mesh = Mesh(points, faces)
        return Piece(name, mesh, material, smooth=True, colour=colour, closed=False)

    def eye_pieces(self, radius_m: float) -> list[Piece]:
        """Both eyeballs."""
        figure = self.figure
        ita_deg = skin.ita_of(figure.skin)
        colour = figure.eyes or eyes.usual_colour(ita_deg, figure.seed)
        pieces: list[Piece] = []
        for name, centre, axis in zip(
            ("eye_left", "eye_right"), self.gaze.centres, self.gaze.axes, strict=True
        ):
            look = (colour, ita_deg, figure.seed)
            pieces += eyes.eye_pieces(name, centre, radius_m, axis, *look)
        return pieces

    @cached_property
    def suit(self) -> cloth.Suit:
        """What the clothes are cut from."""
        return cloth.make_suit(
            self.data,
            self.enlarged * self.rest.vertices,
            self.enlarged * self.moved,
            self.cuts,
            None if self.seat_height_m is None else self.enlarged * self.seat_height_m,
            self.figure.seed,
        )

    def _head_scale(self) -> float:
        return self.rest.achieved["headlength"] / 0.199

    def _eyes_at_rest(self) -> list[Array]:
        return [
            sockets.socket(self.data, self.rest.vertices, side).centre for side in ("left", "right")
        ]


def _shown(data: BodyData, cuts: Cuts, rest: Array, clothes: Clothes) -> Array:
    """Where skin may show (n,): positive on head, neck and hands, at rest."""
    head = joint_weight(data, "head", "neck03", "neck02")[: len(rest)]
    bare = wardrobe.bare(cuts, rest, clothes)
    if clothes in wardrobe.COLLARED or clothes in wardrobe.OPEN:
        return bare
    return np.asarray(np.maximum(bare, 0.03 * (head - 0.2)))


def _as_bare(clothes: Clothes) -> Clothes:
    """One of the clothes that leave as much skin bare, and more."""
    return clothes if clothes == "t_shirt" or clothes in wardrobe.OPEN else "jumper"


@lru_cache(maxsize=4)
def _bare(data: BodyData, clothes: Clothes) -> tuple[Index, Subdivision, Index]:
    """Vertices of the skin that may show on anybody, how to refine it, and its triangles."""
    n = data.ranges["body"][1]
    plain = Cuts(RestBody(data, data.base, data.joints, {}, {}))
    shown = _shown(data, plain, data.base[:n], clothes)
    quads = data.faces["body"]
    # With a margin round what shows on the base body, for on other bodies more of it shows.
    quads = quads[(shown[quads] > -0.030).any(axis=1)]
    used = np.unique(quads)
    quads, _ = compact(quads, data.base[:n])
    step = catmull_clark(quads, len(used))
    return used, step, triangles(step.faces)
